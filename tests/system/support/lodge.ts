// A small invented house for system tests: a few unrelated circuits, short rated durations, one dead lamp.
// Written to a file and read like any site.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { TestKind } from '../../../firmware/contract/codes';
import type { Slot } from '../../../host/planner/plan/plan';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { startUtcMs } from '../../../host/rehearse/estate';
import { loadSite } from '../../../host/site/load';
import type { Site } from '../../../host/site/model';

export interface Lodge {
  site: Site;
  file: string;
}

const MODES = [
  'mode: non-maintained, batteryMilliamps: 180',
  'mode: maintained, batteryMilliamps: 95, mainsMilliamps: 120',
  'mode: switched maintained, batteryMilliamps: 150, mainsMilliamps: 205',
  'mode: combined, batteryMilliamps: 210',
];
const EVERY_DAY = '[mon, tue, wed, thu, fri, sat, sun]';

function area(n: number): string {
  return `  - { id: wing-${n}, name: Wing ${n}, floor: ground }`;
}

function circuit(n: number, ratedMinutes: number): string[] {
  const lamps = MODES.map(
    (mode, i) => `      - { id: W${n}-0${i + 1}, place: Corridor ${i + 1}, area: wing-${n}, ${mode} }`,
  );
  return [
    `  - id: wing-${n}`,
    `    name: Wing ${n}`,
    '    floor: ground',
    `    ratedMinutes: ${ratedMinutes}`,
    '    chemistry: NiMH',
    '    batteryFitted: 2024-02-20',
    '    luminaires:',
    ...lamps,
  ];
}

/**
 * Writes the house's site file into `folder` and loads it.
 * @param circuits number of circuits, called wing-1, wing-2 ...; the first luminaire of wing-1 is dead
 * @param staggerSeconds from the start of one test to that of the next in the same night
 * @param edited what else the file is to say
 */
export function buildLodge(
  folder: string,
  circuits: number,
  ratedMinutes: number,
  staggerSeconds = 600,
  edited = (text: string) => text,
): Lodge {
  const numbers = Array.from({ length: circuits }, (_, i) => i + 1);
  const lines = [
    'id: lodge',
    'name: The lodge',
    'timeZone: Europe/London',
    'responsible: The porter',
    `testWindows: [{ days: ${EVERY_DAY}, from: "00:30", to: "05:30" }]`,
    'opening: []',
    `openingsAtOnce: ${circuits}`,
    `staggerSeconds: ${staggerSeconds}`,
    'floors: [{ id: ground, name: Ground }]',
    'areas:',
    ...numbers.map(area),
    'circuits:',
    ...numbers.flatMap((n) => circuit(n, ratedMinutes)),
    'simulation:',
    '  start: 2026-01-05T09:00',
    '  historyDays: 0',
    '  faults: [{ kind: dead lamp, luminaire: W1-01, fromDay: 0 }]',
  ];
  const file = join(folder, 'lodge.yaml');
  writeFileSync(file, edited(`${lines.join('\n')}\n`));
  const loaded = loadSite(file);
  if ('mistakes' in loaded) throw new Error(loaded.mistakes.map((m) => m.message).join('\n'));
  return { site: loaded.site, file };
}

/** First slot for a duration test of a circuit, and the whole days from the start of the simulation to it. */
export function firstFull(site: Site, circuitId: string): { slot: Slot; days: number } {
  const start = startUtcMs(site) / 1000;
  const plan = makePlan(site, profileOf(site.profile), start, 400);
  const { slots } = plan.circuits.find((c) => c.circuit === circuitId)!;
  const slot = slots.find((s) => s.kind === TestKind.Full)!;
  return { slot, days: Math.floor((slot.start - start) / 86400) };
}
