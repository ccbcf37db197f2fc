// The points and their datapoint types as docs/knx.md.
import { pointsOf, type ThingKind } from './points';

function table(what: ThingKind): string[] {
  const rows = pointsOf(what).map(({ name, type, what: says }) => `| ${name} | ${type} | ${says} |`);
  return ['| point | type | what |', '| --- | --- | --- |', ...rows, ''];
}

/** The document. */
export function knxDocument(): string {
  return [
    '# The points on KNX',
    '',
    'Written from `host/integrators/knx/points.ts`; how to use them is in [integrators.md](integrators.md#on-a-knx-bus).',
    '',
    'Each point of each thing has a group address of its own in the table that `knx-addresses` writes. The datapoint types are those of the',
    'KNX Standard, chapter 3/7/2 Datapoint Types (from memory): 1.005 Alarm (1 is an alarm), 1.011 State (1 is active) and 7.001',
    'Value_2_Ucount (0 to 65,535). Telegrams have low priority. A point whose value is not known is neither written nor answered.',
    '',
    '## Building',
    '',
    ...table('building'),
    '## Circuit',
    '',
    ...table('circuit'),
    '## Luminaire',
    '',
    ...table('luminaire'),
  ].join('\n');
}
