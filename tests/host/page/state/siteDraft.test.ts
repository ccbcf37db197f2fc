import { expect, it } from 'vitest';
import type { Change, SiteFileData } from '../../../../host/api/site';
import { keptAfterSave, keptFor, keptWith, type SiteDraft } from '../../../../host/page/state/siteDraft';

const change = (id: string): Change => ({ do: 'remove', part: 'areas', id });
const data: SiteFileData = { floors: [], areas: [], circuits: [] };
const draft = (revision: string, ...ids: string[]): SiteDraft => ({
  revision,
  changes: ids.map(change),
  data,
});

it('is saved with the next change of the same file, and then over', () => {
  const kept = keptWith(keptWith(null, draft('1', 'a')), draft('1', 'b'));
  expect(keptFor(kept, '1')).toEqual([change('a'), change('b')]);
  expect(keptAfterSave(kept, '1')).toBeNull();
});

it('is neither sent unasked nor lost once the file is another', () => {
  const kept = draft('1', 'a');
  expect(keptFor(kept, '2')).toEqual([]);
  expect(keptAfterSave(kept, '2')).toEqual(kept);
  const more = keptWith(kept, draft('2', 'b'));
  expect(more.changes).toEqual([change('a'), change('b')]);
  expect(keptFor(more, '2')).toEqual([]);
});
