import { useState } from 'preact/hooks';
import type { MechanicalCheck } from '../judge/camera-checks.ts';
import { MECHANICAL_LISTS } from '../record/mechanical-lists.ts';
import { changeJob } from './actions/jobs.ts';
import { say } from './actions/notices.ts';
import { savePreferences } from './actions/preferences.ts';
import { takeOver } from './camera-mechanics-list.ts';
import { NameForm } from './camera-name-form.tsx';
import { useView } from './view.ts';

/** Lists by type of camera, built in or the workshop's own: taken over into the job, or kept from it. */
export function MechanicsLists({ mechanics }: { mechanics: readonly MechanicalCheck[] }) {
  const own = useView((v) => v.preferences.checkLists);
  const wanted = useView((v) => v.preferences.defaults.checkListId);
  const [chosen, choose] = useState(wanted ?? MECHANICAL_LISTS[0]?.id ?? '');
  const list = [...own, ...MECHANICAL_LISTS].find(({ id }) => id === chosen);

  const take = () => {
    if (!list) return;
    changeJob(
      (job) => ({ ...job, mechanics: takeOver(job.mechanics, list.items, () => crypto.randomUUID()) }),
      `list “${list.name}” taken over`,
    );
  };
  const keep = (called: string) => {
    if (called === '') return 'The list needs a name.';
    const same = own.find((other) => other.name.toLowerCase() === called.toLowerCase());
    const kept = {
      id: same?.id ?? crypto.randomUUID(),
      name: called,
      items: mechanics.map((check) => check.name),
    };
    void savePreferences((preferences) => ({
      ...preferences,
      checkLists: same
        ? preferences.checkLists.map((other) => (other.id === same.id ? kept : other))
        : [...preferences.checkLists, kept],
    }));
    choose(kept.id);
    say(`The list “${called}” is ${same ? 'replaced by this one' : 'kept for other jobs'}.`);
    return '';
  };

  return (
    <div class="lists" data-part="check-lists">
      <div class="row acts">
        <label class="row">
          list for a type of camera
          <select value={chosen} onChange={(e) => choose(e.currentTarget.value)} data-field="check-list">
            {own.length > 0 && (
              <optgroup label="the workshop’s own">
                {own.map((one) => (
                  <option key={one.id} value={one.id}>
                    {one.name}
                  </option>
                ))}
              </optgroup>
            )}
            <optgroup label="built in">
              {MECHANICAL_LISTS.map((one) => (
                <option key={one.id} value={one.id}>
                  {one.name}
                </option>
              ))}
            </optgroup>
          </select>
        </label>
        <button
          type="button"
          class={mechanics.length === 0 ? 'main' : ''}
          disabled={!list}
          onClick={take}
          data-action="take-list"
        >
          Take it over
        </button>
        {mechanics.length > 0 && (
          <span class="quiet">What has been said of a check stays; checks with nothing said of them go.</span>
        )}
      </div>
      {mechanics.length > 0 && (
        <NameForm
          label="keep this list as the workshop’s own, named"
          button="Keep it"
          maxLength={60}
          field="list-name"
          action="keep-list"
          take={keep}
        />
      )}
    </div>
  );
}
