import type { CertificateContent } from '../certificate/certificate.ts';
import { errorChart } from '../certificate/chart.ts';
import { ChartDrawing } from './chart-drawing.tsx';
import { ComparisonCard, PaperHead, SectionCard, SpeedsPreview, TableCard } from './papers-tables.tsx';

/** What a certificate will say, page 1 first. */
export function CertificatePreview({ content }: { content: CertificateContent }) {
  return (
    <>
      <PaperHead content={content} />
      <SectionCard section={content.result} />
      {content.front.map((section) => (
        <SectionCard key={section.heading} section={section} />
      ))}
      {content.key.length > 0 && (
        <>
          <h2>{content.detailsHeading}</h2>
          <SpeedsPreview content={content} />
          <section class="card below">
            <ChartDrawing
              primitives={errorChart(content.chart, 560, 170)}
              width={560}
              height={170}
              description={content.chart.description}
            />
          </section>
        </>
      )}
      {content.tables.map((table) => (
        <TableCard key={table.heading} table={table} />
      ))}
      {content.comparisons.map((comparison) => (
        <ComparisonCard key={comparison.heading} comparison={comparison} />
      ))}
      <div class="sections">
        {content.sections.map((section) => (
          <SectionCard key={section.heading} section={section} />
        ))}
      </div>
    </>
  );
}
