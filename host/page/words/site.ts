// What the page says of the site, and of changing it.
import type { Change, FormField, Item, Part, SiteFileData, TakingView } from '../../api/site';
import { capital } from '../../words/capital';
import type { FormPlace } from './siteForm';

export const ONE: Record<Part, string> = {
  floors: 'floor',
  areas: 'area',
  circuits: 'circuit',
  luminaires: 'luminaire',
};

/** Heading of a form. */
export function formTitle({ part, id, circuit = '' }: FormPlace): string {
  if (part === 'site') return 'Hours and rules';
  if (id === '') return `New ${ONE[part]}${circuit === '' ? '' : ` in circuit ${circuit}`}`;
  return `Change ${ONE[part]} ${id}`;
}

const DATA_ONLY = 'Changing these data never changes wiring.';

/** What people must know before they change a thing. */
export function formCaution({ part, id }: FormPlace): string {
  if (part === 'luminaires') {
    const where = id === '' ? ' It is read at the next sensor input of its circuit.' : '';
    return `${DATA_ONLY} Check the rated duration on the luminaire’s plate, and measure its currents.${where}`;
  }
  if (part === 'circuits')
    return id === ''
      ? `${DATA_ONLY} It needs a controller, commissioned for this id, and at least one luminaire.`
      : `${DATA_ONLY} The id is also in the controller: after another id, commission the controller anew.`;
  return part === 'site' ? 'Tests are planned anew by what you change here.' : DATA_ONLY;
}

/** Luminaires behind one in its circuit, which move up to other sensor inputs when it goes; on a bus none does. */
export function movedUp(data: SiteFileData, id: string): string[] {
  const circuit = data.circuits.find(({ luminaires }) => luminaires.some((lamp) => lamp.id === id));
  if (!circuit || circuit.luminaires.some((lamp) => lamp.module !== undefined)) return [];
  const at = circuit.luminaires.findIndex((lamp) => lamp.id === id);
  return circuit.luminaires.slice(at + 1).map((lamp) => String(lamp.id));
}

/** The end of a sentence on those that move up; '' if none does. */
function movedUpWords(behind: readonly string[]): string {
  return behind.length === 0
    ? ''
    : ` ${behind.join(', ')} will be read one sensor input further up: move their sensor wires too.`;
}

/** What another circuit means for a luminaire; '' for the one it is in. */
export function moveWords(data: SiteFileData, id: string, to: string): string {
  const home = data.circuits.find(({ luminaires }) => luminaires.some((lamp) => lamp.id === id));
  const next = data.circuits.find((circuit) => circuit.id === to);
  if (!home || !next || home === next) return '';
  const isOnBus = next.luminaires.some((lamp) => lamp.module !== undefined);
  const input = isOnBus
    ? `It needs a current module on the bus of circuit ${to}.`
    : `It will be read at sensor input ${next.luminaires.length + 1} of circuit ${to}.`;
  return (
    `${DATA_ONLY} Change it here only if luminaire ${id} is fed by circuit ${to}. ${input}` +
    `${movedUpWords(movedUp(data, id))} Its results and its battery data go with it.`
  );
}

/** What removing a thing means, asked once. */
export function removeWords(data: SiteFileData, { part, id }: FormPlace): string {
  if (part === 'luminaires') {
    return `Remove luminaire ${id}? Its results stay in the log book.${movedUpWords(movedUp(data, id))}`;
  }
  if (part === 'circuits')
    return (
      `Remove circuit ${id} with all its luminaires? Its results stay in the log book. Its controller keeps its plan ` +
      'and goes on testing until it is taken out.'
    );
  return part === 'site' ? '' : `Remove ${ONE[part]} ${id}?`;
}

const count = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? '' : 's'}`;

/** A change that is kept until others make it whole. */
export function changeWords(change: Change): string {
  const { part } = change;
  const what = part === 'site' ? 'the building' : ONE[part];
  if (change.do === 'add') return `${what} ${String(change.item.id ?? '')} added`;
  if (change.do === 'remove') return `${what} ${change.id} removed`;
  if (change.do === 'move') return `${what} ${change.id} moved to circuit ${change.to}`;
  if (change.do === 'rename') return `${what} ${change.id} is now ${change.to}`;
  return `${[what, change.id].filter((one) => one !== '').join(' ')}: ${change.field} changed`;
}

/** What becomes of changes that are kept. @param isStale the file was changed since they were made */
export function keptWords(isStale: boolean): string {
  return isStale
    ? 'The file was changed since, in another window or in the file itself. Try this on the new file, where it is checked again, or give it up.'
    : 'It is saved together with the next change.';
}

/** A change that the host does not work with yet. */
export function takingWords({ percent, waits }: TakingView): string {
  const until = 'Until then it works with the site as it was, and all pages show that.';
  if (waits !== '') return `The last change is saved. The host waits with it: ${waits}. ${until}`;
  const share = percent < 100 ? `: ${percent} % of the log book is read for it` : '';
  return `The last change is saved. The host is taking it over${share}. ${until}`;
}

/** A circuit in one line. */
export function circuitWords({ luminaires, name }: SiteFileData['circuits'][number]): string {
  return `${String(name)}, ${count(luminaires.length, 'luminaire')}`;
}

const DAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
export const DAY_NAMES: [string, string][] = DAYS.map((day) => [day, capital(day)]);

/** Hours in one line: "Mon, Tue 00:30–05:30". */
function hoursWords(raw: unknown): string {
  if (!Array.isArray(raw) || raw.length === 0) return 'never';
  const line = ({ days, from, to }: Item) => {
    const named = DAY_NAMES.filter(([day]) => (days as string[]).includes(day)).map(([, name]) => name);
    return `${named.length === DAYS.length ? 'every day' : named.join(', ')} ${String(from)}–${String(to)}`;
  };
  return (raw as Item[]).map(line).join('; ');
}

/** What a field says now, in one line; '' where it says nothing. */
export function saidNow({ kind }: FormField, raw: unknown): string {
  if (raw === undefined || raw === null) return '';
  if (kind === 'hours') return hoursWords(raw);
  if (Array.isArray(raw)) return raw.join(', ');
  if (kind === 'yes or no') return raw === true ? 'yes' : 'no';
  if (typeof raw !== 'object') return String(raw);
  return Object.entries(raw)
    .map(([name, value]) => `${name} ${String(value)}`)
    .join(', ');
}
