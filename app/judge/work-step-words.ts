import type { WorkStep } from './work-step.ts';

/** 'governor in by 0.25 turns', 'cleaned: escapement'. */
export function workStepWords({ kind, direction, amount, note }: WorkStep): string {
  const how = [
    kind === 'other' ? '' : kind,
    direction ?? '',
    amount === null ? '' : `by ${amountWords(amount)}`,
  ]
    .filter((part) => part !== '')
    .join(' ');
  return [how, note.trim().replace(/\.$/, '')].filter((part) => part !== '').join(': ') || 'something else';
}

/** '0.5 turns', '1 turn': the user's own word for many of them, and of one. */
function amountWords({ value, unit }: NonNullable<WorkStep['amount']>): string {
  const one = value === 1 && /[a-z]{3,}s$/.test(unit) ? unit.slice(0, -1) : unit;
  return `${value} ${one}`.trim();
}
