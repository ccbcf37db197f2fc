// Addresses within the page: #/, #/defects, #/duties, #/duty/<id>, #/reports, #/year, #/notice, #/circuit/<id>, #/luminaire/<id>,
// #/log?circuit=<id>&kind=<kind>, #/floor, #/floor/<id>?luminaire=<id>, #/site, #/site/building, #/site/<part>/<id>,
// #/site/<part> for a new one (?circuit=<id> for a luminaire).

import type { FormPlace } from './siteForm';

export type Route =
  | { page: 'tonight' }
  | { page: 'defects' }
  | { page: 'year' }
  | { page: 'notice' }
  | { page: 'duties' }
  | { page: 'reports' }
  | { page: 'account' }
  | { page: 'accounts' }
  | { page: 'duty'; id: string }
  | { page: 'site' }
  | { page: 'siteForm'; place: FormPlace }
  | { page: 'circuit'; id: string }
  | { page: 'luminaire'; id: string }
  | { page: 'floor'; id: string; luminaire: string }
  | { page: 'log'; circuit: string; kind: string }
  | { page: 'unknown' };

/** Pages whose address has nothing below it. */
const PLAIN = ['defects', 'duties', 'reports', 'year', 'notice', 'account', 'accounts'] as const;

function isPlain(page: string): page is (typeof PLAIN)[number] {
  return (PLAIN as readonly string[]).includes(page);
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

const PARTS = ['floors', 'areas', 'circuits', 'luminaires'] as const;

/** A form of the site, below #/site. */
function siteRoute(part: string, id: string, query: string): Route {
  if (part === '') return { page: 'site' };
  if (part === 'building' && id === '') return { page: 'siteForm', place: { part: 'site', id: '' } };
  const known = PARTS.find((one) => one === part);
  if (!known) return { page: 'unknown' };
  const circuit = new URLSearchParams(query).get('circuit') ?? '';
  return { page: 'siteForm', place: { part: known, id: decoded(id), ...(circuit !== '' && { circuit }) } };
}

/** The page a location hash means. */
export function parseRoute(hash: string): Route {
  const [path, query = ''] = hash.replace(/^#/, '').split('?', 2);
  const [, page = '', id = '', more] = path.split('/');
  if (page === '') return { page: 'tonight' };
  if (id === '' && isPlain(page)) return { page };
  if (more === undefined && id !== '' && (page === 'circuit' || page === 'luminaire' || page === 'duty'))
    return { page, id: decoded(id) };
  if (page === 'floor' && more === undefined)
    return { page, id: decoded(id), luminaire: new URLSearchParams(query).get('luminaire') ?? '' };
  if (page === 'site') return siteRoute(id, more ?? '', query);
  if (page === 'log' && id === '') {
    const asked = new URLSearchParams(query);
    return { page: 'log', circuit: asked.get('circuit') ?? '', kind: asked.get('kind') ?? '' };
  }
  return { page: 'unknown' };
}

/** Link to a circuit. */
export function circuitLink(id: string): string {
  return `#/circuit/${encodeURIComponent(id)}`;
}

/** Link to a luminaire. */
export function luminaireLink(id: string): string {
  return `#/luminaire/${encodeURIComponent(id)}`;
}

/** Link to a floor plan, where a luminaire is to stand out if one is named. */
export function floorLink(id: string, luminaire = ''): string {
  const plan = `#/floor/${encodeURIComponent(id)}`;
  return luminaire === '' ? plan : `${plan}?${new URLSearchParams({ luminaire })}`;
}

/** Link to a form of the site. */
export function siteLink({ part, id, circuit = '' }: FormPlace): string {
  if (part === 'site') return '#/site/building';
  const query = circuit === '' ? '' : `?circuit=${encodeURIComponent(circuit)}`;
  return `#/site/${part}${id === '' ? '' : `/${encodeURIComponent(id)}`}${query}`;
}

/** Link to the form of a duty. */
export function dutyLink(id: string): string {
  return `#/duty/${encodeURIComponent(id)}`;
}

/** Link to the log book; an empty word means all. */
export function logLink(circuit: string, kind: string): string {
  const asked = new URLSearchParams();
  if (circuit !== '') asked.set('circuit', circuit);
  if (kind !== '') asked.set('kind', kind);
  const query = asked.toString();
  return query === '' ? '#/log' : `#/log?${query}`;
}
