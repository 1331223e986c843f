import type { JobSheetContent } from '../certificate/job-sheet.ts';
import type { PaperContent } from '../certificate/paper-content.ts';
import {
  type WorkingSpeedsCardContent,
  workingSpeedsCardTrouble,
} from '../certificate/working-speeds-card.ts';
import { StoredPicture } from './job-picture.tsx';
import { CertificatePreview } from './papers-certificate.tsx';
import { PaperHead, SectionCard, TableCard } from './papers-tables.tsx';

/** What a paper will say. */
export function PaperPreview({ content }: { content: PaperContent }) {
  if (content.kind === 'certificate') return <CertificatePreview content={content} />;
  if (content.kind === 'job sheet') return <JobSheetPreview content={content} />;
  return <CardPreview content={content} />;
}

function CardPreview({ content }: { content: WorkingSpeedsCardContent }) {
  const trouble = workingSpeedsCardTrouble(content);
  return (
    <>
      <h2>{content.title}</h2>
      <p class="quiet">{[...content.camera, content.read].join(' · ')}</p>
      {content.pageNotice !== '' && <p class="trouble">{content.pageNotice}</p>}
      {trouble !== null && (
        <p class="trouble" data-card-trouble>
          {trouble}
        </p>
      )}
      <TableCard table={content.speeds} />
      <TableCard table={content.stoppedDown} />
      <p class="quiet">{content.origin.join(' · ')}</p>
      <p class="quiet">{content.instructions}</p>
    </>
  );
}

function JobSheetPreview({ content }: { content: JobSheetContent }) {
  return (
    <>
      <PaperHead content={content} />
      {content.parts.map((part, index) =>
        part.kind === 'section' ? (
          <SectionCard key={index} section={part.section} />
        ) : (
          <TableCard key={index} table={part.table} />
        ),
      )}
      {content.pictures.length > 0 && (
        <section class="card below">
          <h3>{content.picturesHeading}</h3>
          {content.pictures.map(({ id, caption }) => (
            <figure key={id}>
              <StoredPicture id={id} words={caption} />
              <figcaption>{caption}</figcaption>
            </figure>
          ))}
        </section>
      )}
    </>
  );
}
