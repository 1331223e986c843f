import type { Check } from '../record/job.ts';
import { ClockCard } from './checks-clock.tsx';
import { ContactLeadCard } from './checks-contact-lead.tsx';
import { IrisCard } from './checks-iris.tsx';
import { LightCard, ReferenceLightCard } from './checks-light.tsx';
import { PracticeLightPanel } from './practice-light-panel.tsx';
import { SetUpFields } from './set-up-fields.tsx';
import { UndoButton } from './undo-button.tsx';
import { useView } from './view.ts';
import './checks.css';

/** Before the work: whether light, sensor, clock and set-up can be relied on. */
export function ChecksScreen() {
  const job = useView((v) => v.job);
  const stage = useView((v) => v.stage);
  const live = useView((v) => v.session.phase === 'live' && v.source !== 'recording');
  const practice = useView((v) => v.practice);
  if (!job)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <p>The checks are kept with a job and printed in its certificate. Open a job, or make one, first.</p>
        <a class="button" href="#start">
          To the jobs
        </a>
      </main>
    );
  return (
    <main class="sheet checks">
      <div class="row heading">
        <h1>Instrument</h1>
        <UndoButton />
      </div>
      {!live && (
        <p class="trouble">No board is connected: connect one on the start screen to make a check.</p>
      )}
      <p class="caution">
        Never look through the lens into the light. Lamps on mains voltage: only as their maker built them; a
        DC lamp or LED is safer and does not flicker. No flash unit on the contact lead.
      </p>
      <div class="columns broad">
        <SetUpFields key={`${job.id} ${stage}`} job={job} stage={stage} />
        <LightCard live={live} last={latest(job.checks, 'light')} />
        <ContactLeadCard live={live} last={latest(job.checks, 'contact lead')} />
        <ReferenceLightCard live={live} last={latest(job.checks, 'reference light')} />
        <ClockCard live={live} />
        <IrisCard key={job.id} live={live} job={job} last={latest(job.checks, 'iris')} />
      </div>
      {practice && <PracticeLightPanel practice={practice} />}
    </main>
  );
}

function latest<Kind extends Check['kind']>(checks: readonly Check[], kind: Kind) {
  return checks.findLast((check): check is Extract<Check, { kind: Kind }> => check.kind === kind) ?? null;
}
