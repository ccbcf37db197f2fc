// Changes of the site that are kept until others make them whole: an area needs a luminaire that lights it. The file
// may change meanwhile, and none of them is lost by that.
import type { Change, SiteFileData } from '../../api/site';

export interface SiteDraft {
  /** Of the text they were made for. */
  revision: string;
  changes: Change[];
  /** The site as it would be. */
  data: SiteFileData;
}

/** Changes that are saved together with the next one: those made for the file as it is. */
export function keptFor(draft: SiteDraft | null, revision: string): Change[] {
  return draft?.revision === revision ? draft.changes : [];
}

/**
 * With more changes kept. Beside some for an earlier file they wait with these, until somebody says what becomes of
 * them.
 */
export function keptWith(draft: SiteDraft | null, next: SiteDraft): SiteDraft {
  if (!draft) return next;
  return { ...next, revision: draft.revision, changes: [...draft.changes, ...next.changes] };
}

/** What is still kept after the file of a revision was saved with what was kept for it. */
export function keptAfterSave(draft: SiteDraft | null, revision: string): SiteDraft | null {
  return draft?.revision === revision ? null : draft;
}
