// Completion data of the installation, and the rules with their sources.
import { profileRows } from '../profiles/table';
import { kindName, kindWord } from '../words/codes';
import { lengthWord } from '../words/length';
import { dateWord, dayWord } from '../words/when';
import type { Block, Row } from './document';
import type { Seen } from './lamps';
import type { Report } from './report';
import { formerWords } from './schedule';

function seenWords(seen: Seen | undefined, zone: string): string {
  if (!seen) return 'none on record';
  const { at, type, isPass } = seen;
  return `${dayWord(at, zone)}: ${kindName(kindWord(type))} ${isPass ? 'passed' : 'FAILED'}`;
}

function* lampRows({ site, found }: Report): Generator<Row> {
  const areas = new Map(site.areas.map(({ id, name }) => [id, name]));
  for (const circuit of site.circuits)
    for (const lamp of circuit.luminaires) {
      const { newest } = found.lamps.story(lamp.id, circuit.id);
      const former = formerWords(lamp);
      yield {
        cells: [
          former === '' ? lamp.id : `${lamp.id} (formerly ${former})`,
          circuit.id,
          `${lamp.place}, ${areas.get(lamp.area) ?? lamp.area}`,
          lamp.mode,
          lengthWord(lamp.ratedSec),
          `${lamp.chemistry}, ${dateWord(lamp.batteryFitted)}`,
          `${seenWords(newest.brief, site.timeZone)}; ${seenWords(newest.long, site.timeZone)}`,
        ],
        isStrong: found.defects.openOf(lamp.id).length > 0,
      };
    }
}

/** Every luminaire of the site file, with its newest results up to the end of the period. */
export function* completionBlocks(report: Report): Generator<Block> {
  yield { kind: 'heading', level: 1, text: 'Luminaires' };
  yield { kind: 'text', text: "Completion data, from today's site file." };
  yield {
    kind: 'table',
    columns: [
      { title: 'Luminaire', width: 1.7 },
      { title: 'Circuit', width: 1.3 },
      { title: 'Place', width: 3.2 },
      { title: 'Mode', width: 2.1 },
      { title: 'Rated', width: 0.9 },
      { title: 'Battery, fitted', width: 1.7 },
      { title: 'Newest results', width: 4 },
    ],
    rows: lampRows(report),
  };
}

function documentsOf(profile: object): string[] {
  const found = new Set<string>();
  const look = (value: unknown): void => {
    if (typeof value !== 'object' || value === null) return;
    const { source, year, status } = value as Record<string, unknown>;
    if (typeof source === 'string' && status !== 'CP' && status !== 'NONE')
      found.add(year === undefined || source.includes(String(year)) ? source : `${source} (${year})`);
    for (const inner of Object.values(value)) look(inner);
  };
  look(profile);
  return [...found];
}

/** The values of the rule profile, each with its source. */
export function* rulesBlocks({ profile }: Report): Generator<Block> {
  yield { kind: 'heading', level: 1, text: `Rule profile ${profile.name}` };
  yield { kind: 'text', text: `Its documents: ${documentsOf(profile).join('; ') || 'none'}.` };
  yield {
    kind: 'table',
    columns: [
      { title: 'What', width: 3 },
      { title: 'Value', width: 3 },
      { title: 'Source', width: 4 },
      { title: 'How far to trust it', width: 2.5 },
    ],
    rows: profileRows(profile).map(({ what, value, source, status }) => ({
      cells: [what, value, source, status],
    })),
  };
  if (profile.notes.length > 0) yield { kind: 'list', items: profile.notes };
}
