// What stands on the label of each luminaire. Everybody sees it: nothing here opens more than the page does.
import { isThisMachine } from '../loopback';
import { luminaireLink } from '../page/words/route';
import type { Circuit, Luminaire, Site } from '../site/model';
import { slug } from '../site/table/ids';
import { lengthWord } from '../words/length';

/** Longest address, characters: a code of more squares is hard to read. */
const ADDRESS_MAX = 120;

export interface Label {
  id: string;
  /** Under the id, the most useful first. */
  lines: string[];
  /** The luminaire's page. */
  url: string;
}

/**
 * The address of the page, as labels begin with it.
 * @throws Error with one sentence for what is no address, or says more than everybody may know
 */
export function addressOf(text: string): string {
  const said = `must be the address at which people open the page, e.g. https://192.168.1.20:8350, but is "${text}".`;
  let url: URL;
  try {
    url = new URL(text);
  } catch {
    throw new Error(said);
  }
  if (!/^https?:$/.test(url.protocol)) throw new Error(said);
  if (url.href.length > ADDRESS_MAX)
    throw new Error(`must have at most ${ADDRESS_MAX} characters, or the code on a label is too fine.`);
  if (url.username !== '' || url.password !== '')
    throw new Error('must not hold a name or a password: everybody can read a label.');
  if (url.search !== '' || url.hash !== '')
    throw new Error('must end before any ? or #: labels add where each luminaire is.');
  return url.href.replace(/\/+$/, '');
}

/** Whether only the machine of the host itself opens this address. */
export function isOwnMachine(address: string): boolean {
  return isThisMachine(new URL(address).hostname);
}

function labelOf(circuit: Circuit, lamp: Luminaire, address: string): Label {
  const { id, place, chemistry, batteryFitted, ratedSec } = lamp;
  // An id that was made of the name says nothing more.
  const name = slug(circuit.name) === circuit.id ? circuit.name : `${circuit.name} (${circuit.id})`;
  return {
    id,
    lines: [
      place,
      `${lengthWord(ratedSec)}, ${chemistry} battery fitted ${batteryFitted}`,
      `Circuit ${name}`,
    ],
    url: `${address}/${luminaireLink(id)}`,
  };
}

/** One label a luminaire, in the order of the site file. */
export function labelsOf(
  site: Site,
  address: string,
  isWanted: (c: Circuit, l: Luminaire) => boolean,
): Label[] {
  return site.circuits.flatMap((circuit) =>
    circuit.luminaires
      .filter((lamp) => isWanted(circuit, lamp))
      .map((lamp) => labelOf(circuit, lamp, address)),
  );
}
