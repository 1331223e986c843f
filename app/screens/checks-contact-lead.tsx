import { useRef } from 'preact/hooks';
import type { ContactLeadResult } from '../judge/camera-checks.ts';
import { contactLeadSentence } from '../judge/contact-lead-sentences.ts';
import type { Check } from '../record/job.ts';
import { beginContactLead } from './actions/begin-check.ts';
import { abandonCheck } from './actions/checks.ts';
import { finishContactLead } from './actions/contact-lead-check.ts';
import './camera.css';
import { BeginButton, MadeAt } from './checks-parts.tsx';
import { LEAD_WORDS, type LeadWord, leadWord } from './contact-lead-word.ts';
import { Glyph, type Sign } from './glyphs.tsx';
import { type Checking, useView } from './view.ts';

interface Props {
  readonly live: boolean;
  readonly last: Extract<Check, { kind: 'contact lead' }> | null;
}

const signs: Record<LeadWord, Sign> = {
  closed: 'well',
  open: 'waiting',
  bouncing: 'asks',
  dead: 'unwell',
  'not known yet': 'waiting',
};

/** The contact live, before any shutter is opened: whether lead, plug and contact can be relied on. */
export function ContactLeadCard({ live, last }: Props) {
  const checking = useView((v) => v.checking);
  const mine = checking?.kind === 'contact lead' ? checking : null;
  return (
    <section class="card" aria-label="Contact lead" data-card="contact-lead">
      <h2>Contact lead</h2>
      {mine ? (
        <>
          <Live checking={mine} />
          <div class="row acts">
            <button type="button" class="main" onClick={finishContactLead} data-action="finish-contact-lead">
              Enough: keep it
            </button>
            <button type="button" onClick={() => abandonCheck()}>
              Leave it
            </button>
          </div>
        </>
      ) : (
        <>
          <p class="quiet">
            Plug the lead in and touch its two ends together, or work the contact by hand: the page shows what
            it does. A lead that is dead here is no fault of the shutter. The board’s current is under 1 mA,
            so that a contact may look good here and still be too dirty to fire a flash.
          </p>
          <BeginButton live={live} begin={beginContactLead} action="contact-lead">
            Watch the contact
          </BeginButton>
        </>
      )}
      {!mine && last && <LeadOutcome check={last} />}
      <p class="caution">
        Never a flash unit on this lead, nor on a camera that is on it. Old flash units carry hundreds of
        volts at their contact, and their capacitors stay charged long after they are switched off: they can
        kill. Flash units are opened by licensed practice alone, by your local code.
      </p>
    </section>
  );
}

function Live({ checking }: { checking: Extract<Checking, { kind: 'contact lead' }> }) {
  const last = useRef({ bounces: 0, at: Number.NEGATIVE_INFINITY });
  if (checking.bounces > last.current.bounces)
    last.current = { bounces: checking.bounces, at: checking.seconds };
  const word = leadWord(checking, last.current.at);
  const { closures, bounces, seconds } = checking;
  return (
    <div data-lead={word}>
      <p class="lead-word" role="status">
        <Glyph sign={signs[word]} /> {word}
      </p>
      <p>{LEAD_WORDS[word]}</p>
      <p class="lead-counts">
        <strong data-figure="closures">{closures}</strong> {closures === 1 ? 'closure' : 'closures'},{' '}
        <strong data-figure="bounces">{bounces}</strong> {bounces === 1 ? 'bounce' : 'bounces'},{' '}
        {seconds.toFixed(0)} s
      </p>
    </div>
  );
}

const outcomes: Record<ContactLeadResult['state'], readonly [Sign, string]> = {
  works: ['within', 'within'],
  bounces: ['asks', 'beyond'],
  'never closed': ['unwell', 'beyond'],
  'always closed': ['unwell', 'beyond'],
};

/** What the last test found, and what to do about it. */
export function LeadOutcome({ check: { at, stage, result } }: { check: NonNullable<Props['last']> }) {
  const [sign, tone] = outcomes[result.state];
  return (
    <p class={tone} data-outcome={result.state}>
      <Glyph sign={sign} /> {contactLeadSentence(result)} <MadeAt stage={stage} at={at} />
    </p>
  );
}
