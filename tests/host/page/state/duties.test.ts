// Duties that the host did not answer the first time.
import { expect, it } from 'vitest';
import type { DutiesView } from '../../../../host/api/duties';
import { followDuties } from '../../../../host/page/state/duties';
import { PageStore } from '../../../../host/page/state/store';
import { unknownLine } from '../../../../host/page/words/duties';
import { headline } from '../../../../host/page/words/headline';
import { controller } from '../samples';

const NONE: DutiesView = { duties: [], findings: [] };

it('are asked for again until they are known, and called unknown until then', async () => {
  const store = new PageStore();
  let isUp = false;
  let asked = 0;
  const ask = async () => {
    asked++;
    if (!isUp) throw new Error('The host failed.');
    return NONE;
  };
  const end = followDuties(store, ask, 1);
  await expect.poll(() => asked).toBeGreaterThan(2);
  expect(store.state).toMatchObject({ duties: null, dutiesFailed: true });
  isUp = true;
  await expect.poll(() => store.state).toMatchObject({ duties: NONE, dutiesFailed: false });
  end();
});

it('are no reason to say that nothing needs attention while they are not known', () => {
  const all = [controller('a')];
  expect(headline(all, [])).toContain('Nothing needs attention');
  expect(headline(all, null)).toBe('1 circuit charged.');
  expect(headline(all, [unknownLine()])).toBe('1 circuit charged. Duties not known.');
});
