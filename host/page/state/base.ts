// Where this page is: that of the only building, the overview of several, or one of several.

/** Path below which the host answers for this building; '' on a page that is not one of several. */
function baseOf(pathname: string): string {
  return /^\/b\/[a-z0-9-]+(?=\/)/.exec(pathname)?.[0] ?? '';
}

/** Id of the building, of several, that this page is about; '' on any other. */
export function ownBuilding(): string {
  return baseOf(globalThis.location?.pathname ?? '').slice('/b/'.length);
}

/** Address of something of this building. */
export function here(path: string): string {
  return baseOf(globalThis.location?.pathname ?? '') + path;
}

/** What is shown: the only building, all of several, or one of them. */
export type Place = 'only' | 'all' | 'one';

export function placeOfPage(): Place {
  const { buildings } = globalThis.document?.documentElement.dataset ?? {};
  return buildings === 'all' || buildings === 'one' ? buildings : 'only';
}

/** Page of one of several buildings. */
export function buildingLink(id: string): string {
  return `/b/${encodeURIComponent(id)}/`;
}
