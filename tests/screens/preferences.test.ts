import 'fake-indexeddb/auto';
import { expect, it, vi } from 'vitest';
import { LocalRecord } from '../../app/record/database.ts';
import { changeWorkshop, loadWorkshop, preferencesWritten } from '../../app/screens/actions/preferences.ts';
import { record } from '../../app/screens/actions/record.ts';
import { view } from '../../app/screens/view.ts';

it('a workshop that could not be read is not written over', async () => {
  const kept = await record();
  const whole = { name: 'Invented Workshop', address: '1 Test Lane', signatory: 'A. Tester', logo: null };
  await kept.saveWorkshop(whole);
  vi.spyOn(LocalRecord.prototype, 'loadWorkshop').mockRejectedValueOnce(new Error('It is damaged.'));
  await loadWorkshop();
  const blank = view.getState().workshop;
  changeWorkshop((workshop) => ({ ...workshop, name: 'Another' }), 'name of the workshop');
  await preferencesWritten();
  expect(await kept.loadWorkshop()).toEqual(whole);
  expect(view.getState().workshop).toEqual(blank);
  await loadWorkshop();
  changeWorkshop((workshop) => ({ ...workshop, name: 'Another' }), 'name of the workshop');
  await preferencesWritten();
  expect(await kept.loadWorkshop()).toEqual({ ...whole, name: 'Another' });
});
