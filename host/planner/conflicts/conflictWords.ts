// Names and dates in the sentences about conflicts.
import type { Circuit, Site } from '../../site/model';
import { inSentence } from '../../words/counted';
import { dayWord } from '../../words/when';
import { DAY_SEC } from '../nights/nights';

/** So many names are told in a sentence; of more, the first few and how many more. */
const NAMED = { all: 5, few: 3 };

/** Whether `listed` names only some of them. */
export function isCut(items: string[]): boolean {
  return items.length > NAMED.all;
}

/** "a", "a and b", "a, b and c"; of more than five the first three and how many more. */
export function listed(items: string[]): string {
  const { few } = NAMED;
  return inSentence(isCut(items) ? [...items.slice(0, few), `${items.length - few} more`] : items);
}

/** "ground-c (School rooms)"; only the name where it is the id in other capitals. */
export function circuitName({ id, name }: Pick<Circuit, 'id' | 'name'>): string {
  return name.toLowerCase() === id ? name : `${id} (${name})`;
}

export function circuitsNamed(circuits: Circuit[]): string {
  return `${circuits.length === 1 ? 'circuit' : 'circuits'} ${listed(circuits.map(circuitName))}`;
}

/** "1 circuit", "1,204 circuits". */
export function counted(count: number, noun: string): string {
  return `${count.toLocaleString('en')} ${noun}${count === 1 ? '' : 's'}`;
}

export function areaNamed(site: Site, id: string): string {
  return site.areas.find((area) => area.id === id)?.name ?? id;
}

/** UTC second in the middle of a night, in the early morning of the day that names it. */
function morningOf(night: number, noon: number): number {
  return noon + night * DAY_SEC + (DAY_SEC * 5) / 8;
}

/** The day into which a night runs: "Fri 20 Mar 2026". */
export function nightWord(night: number, noon: number, timeZone: string): string {
  return dayWord(morningOf(night, noon), timeZone);
}
