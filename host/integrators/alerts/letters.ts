// What mails say. Pure.
import type { Site } from '../../site/model';
import { counted } from '../../words/counted';
import { momentWord } from '../../words/when';
import { buildingStatus, type CircuitMessages } from '../status';
import type { Batch } from './queue';

/** What a letter says of the site. */
type Named = Pick<Site, 'name' | 'timeZone'>;

export interface Letter {
  subject: string;
  text: string;
}

/** Luminaires listed one by one in a digest. */
const LISTED_MAX = 100;

const FOOT = (site: Named) =>
  `Sent by the host of ${site.name}. The page there has every detail; the log book has the proof.`;

function when(site: Named, iso: string): string {
  return momentWord(Date.parse(iso) / 1000, site.timeZone);
}

function ofWhat(luminaire: string | null, circuit: string): string {
  if (circuit === '') return 'the whole building';
  return luminaire === null ? `circuit ${circuit}` : `${luminaire}, circuit ${circuit}`;
}

/** "Emergency lighting, Museum: luminaire GA-04 failed" */
export function alertLetter(site: Named, simulated: boolean, { events, lost }: Batch): Letter {
  const lines = events.map(({ what, state, luminaire, circuit, place, since, words }) => {
    const of = ofWhat(luminaire, circuit);
    const head = state === 'raised' ? what.toUpperCase() : `over: ${what}`;
    return `${head}: ${of} (${place}), since ${when(site, since)}. ${words}`;
  });
  const [first] = events;
  const raised = events.filter(({ state }) => state === 'raised').length;
  const name = first.luminaire ?? ofWhat(null, first.circuit);
  const one = first.state === 'raised' ? `${first.what}: ${name}` : `over: ${first.what}, ${name}`;
  const many = `${counted(raised, 'new alarm')}, ${events.length - raised} over`;
  const about = events.length === 1 ? one : many;
  return {
    subject: `${simulated ? '[simulated] ' : ''}Emergency lighting, ${site.name}: ${about}`,
    text: [
      ...lines,
      ...(lost > 0 ? [`${lost} older alarms did not fit: look at the page.`] : []),
      FOOT(site),
    ].join('\n\n'),
  };
}

/** The state of everything, once a day. @param now UTC second */
export function digestLetter(site: Site, simulated: boolean, all: CircuitMessages[], now: number): Letter {
  const building = buildingStatus(site, simulated, all);
  const { luminaires, circuits } = building;
  const silent = circuits.silent + circuits.neverHeard;
  const bad = all.flatMap((one) => one.luminaires).filter(({ verdict }) => verdict !== 'pass');
  const listed = bad
    .sort((a, b) => a.verdict.localeCompare(b.verdict))
    .slice(0, LISTED_MAX)
    .map((one) => {
      const since = one.since === null ? '' : ` since ${when(site, one.since)}`;
      return `${one.verdict}${since}: ${one.luminaire} (${one.place}, ${one.area.name}). ${one.reason?.words ?? ''}`;
    });
  const more = bad.length - listed.length;
  return {
    subject:
      `${simulated ? '[simulated] ' : ''}Emergency lighting, ${site.name}: ${luminaires.fail} failed, ` +
      `${luminaires.notProven} not proven, ${luminaires.pass} in order`,
    text: [
      `As of ${momentWord(now, site.timeZone)}.`,
      `Luminaires: ${luminaires.fail} failed, ${luminaires.notProven} not proven, ${luminaires.pass} in order.`,
      `Controllers: ${circuits.reporting + circuits.late} reporting, ${silent} not heard. ` +
        `Open defects: ${building.openDefects}.`,
      ...listed,
      ...(more > 0 ? [`And ${more} more; the page has them all.`] : []),
      building.nextTestAt === null ? 'No test is planned.' : `Next test: ${when(site, building.nextTestAt)}.`,
      FOOT(site),
    ].join('\n\n'),
  };
}
