import { useState } from 'preact/hooks';
import type { Job } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { DraftField } from './draft-field.tsx';
import { JobArea, JobField } from './job-field.tsx';
import { useView } from './view.ts';

const CAMERA: readonly (readonly [keyof Job['camera'], string])[] = [
  ['description', 'camera'],
  ['bodySerial', 'body serial number'],
  ['shutter', 'shutter'],
  ['shutterSerial', 'shutter serial number'],
  ['lens', 'lens'],
  ['lensSerial', 'lens serial number'],
];

/** Whose camera came in, which one it is, what ails it, and when that was. */
export function CustomerFields({ job }: { job: Job }) {
  const customer = (part: Partial<Job['customer']>, words: string) =>
    changeJob((j) => ({ ...j, customer: { ...j.customer, ...part } }), words);
  return (
    <section class="card fields" data-part="camera" tabIndex={-1}>
      <h2 class="wide">Customer and camera</h2>
      <JobField
        label="customer"
        name="customer"
        value={job.customer.name}
        change={(name) => customer({ name }, 'customer')}
      />
      <JobField
        label="how to reach them"
        name="contact"
        value={job.customer.contact}
        change={(contact) => customer({ contact }, 'how to reach the customer')}
      />
      {CAMERA.map(([key, words]) => (
        <JobField
          key={key}
          label={words}
          name={key}
          value={job.camera[key]}
          change={(text) => changeJob((j) => ({ ...j, camera: { ...j.camera, [key]: text } }), words)}
        />
      ))}
      <p class="wide quiet">Leave a serial number empty if there is none.</p>
      <JobArea
        label="complaint"
        name="complaint"
        value={job.complaint}
        change={(complaint) => changeJob((j) => ({ ...j, complaint }), 'complaint')}
      />
      <NumberField job={job} />
      <label>
        received on
        <input
          type="date"
          value={dayIn(job.received)}
          onChange={(e) => {
            const received = onDay(job.received, e.currentTarget.value);
            if (received === null) e.currentTarget.value = dayIn(job.received);
            else changeJob((j) => ({ ...j, received }), 'day of receipt');
          }}
          data-field="received"
        />
      </label>
    </section>
  );
}

/** Papers that were handed out carry the number: from then on it stays. */
function NumberField({ job }: { job: Job }) {
  const jobs = useView((v) => v.jobs);
  const [problem, setProblem] = useState('');
  return (
    <>
      <label>
        job number
        <DraftField
          value={job.number}
          maxLength={40}
          disabled={job.issued.length > 0}
          commit={(text) => {
            const number = text.trim();
            const taken = jobs.some((other) => other.id !== job.id && other.number === number);
            setProblem(
              number === ''
                ? 'A job needs a number.'
                : taken
                  ? `There is a job ${number} already. Numbers are given once.`
                  : '',
            );
            if (number !== '' && !taken) changeJob((j) => ({ ...j, number }), 'job number');
          }}
          data-field="number"
        />
      </label>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

/** 'yyyy-mm-dd' where this computer stands, as a date field wants it. */
function dayIn(iso: string): string {
  const at = new Date(iso);
  const two = (n: number) => String(n).padStart(2, '0');
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** The same time of another day; null if that is no day. */
function onDay(iso: string, day: string): string | null {
  const [year, month, date] = day.split('-').map(Number);
  if (!year || !month || !date) return null;
  const at = new Date(iso);
  at.setFullYear(year, month - 1, date);
  return at.toISOString();
}
