// `simulate --compare`: site files through the same years and the same failures, side by side.
import { measure } from '../../simulator/compare/measures';
import type { EstateYear } from '../picture/data';
import { runSide, type Side } from '../rehearse/compareSides';
import { startUtcMs } from '../rehearse/estate';
import { yearOf } from '../rehearse/yearData';
import type { Site } from '../site/model';
import { type Compared, compareTable, DEFINITIONS, HEADS, seedsTable } from './compareTable';
import { writePicture } from './pictureFile';
import { startProgress } from './progress';

/** A site and the file it was read from. */
export interface Named {
  file: string;
  site: Site;
}

export interface CompareOptions {
  /** Two to four. */
  sides: Named[];
  days: number;
  /** Failures are drawn with each of these in turn. */
  seeds: number[];
  /** Threads (see LongRunOptions). */
  workers?: number;
  json: boolean;
  /** File into which the last year of both is drawn. */
  svg?: string;
}

/** Numbers from a day or so are of no use. */
function rounded<T extends object>(measures: T): T {
  const entries = Object.entries(measures).map(([key, value]) => [key, Math.round(value * 100) / 100]);
  return Object.fromEntries(entries) as T;
}

function luminairesOf({ site }: Named): string[] {
  return site.circuits.flatMap((circuit) => circuit.luminaires.map(({ id }) => id));
}

/** One sentence for each side with luminaires that the first lacks, or the other way round: they fail by themselves. */
function differences([first, ...others]: Named[]): string[] {
  const lacking = (side: Named, other: Named) => {
    const known = new Set(luminairesOf(other));
    const own = luminairesOf(side).filter((id) => !known.has(id));
    if (own.length === 0) return [];
    return [
      `Only ${side.file} has ${own.length === 1 ? 'luminaire' : `${own.length} luminaires, such as`} ${own[0]}.`,
    ];
  };
  return others.flatMap((other) => [...lacking(first, other), ...lacking(other, first)]);
}

function told({ file, site }: Named, { story }: Side): Compared {
  const measures = rounded(measure(story));
  return { file, name: site.name, isByHand: story.isByHand, measures };
}

function drawn({ site }: Named, { story }: Side, days: number): EstateYear {
  const name = `${site.name}: tested ${story.isByHand ? 'by hand' : 'by controllers'}`;
  return yearOf(site, name, story.circuits, days);
}

function spell(days: number): string {
  const years = Math.round(days / 365.25);
  if (years === 0 || Math.round(years * 365.25) !== days) return days === 1 ? 'day' : `${days} days`;
  return years === 1 ? 'year' : `${years} years`;
}

/** @throws Error with one sentence if the sites do not begin at the same moment. */
function checkStarts([first, ...others]: Named[]): void {
  for (const other of others)
    if (startUtcMs(first.site) !== startUtcMs(other.site))
      throw new Error(
        `${first.file} and ${other.file} start at different moments; give all the same start and the same time zone.`,
      );
}

/**
 * @returns the exit code: 0 if no controller broke an invariant.
 * @throws Error with one sentence if the sites do not begin at the same moment.
 */
export async function compareCommand(o: CompareOptions): Promise<number> {
  const { sides, days, seeds, workers } = o;
  checkStarts(sides);
  const threads = workers !== undefined && { workers };
  const bar = startProgress({ total: days * sides.length * seeds.length, what: 'days', isQuiet: o.json });
  const runs: Run[] = [];
  const violations: string[] = [];
  for (const seed of seeds) {
    const done: Side[] = [];
    for (const { site } of sides)
      done.push(await runSide({ site, days, seed, ...threads, onDays: (more) => bar.step(more) }));
    violations.push(...done.flatMap((side) => side.violations));
    runs.push({ seed, sides: done.map((side, i) => told(sides[i], side)) });
    if (o.svg !== undefined && seed === seeds[0])
      writePicture(
        o.svg,
        done.map((side, i) => drawn(sides[i], side, days)),
      );
  }
  bar.end();
  for (const sentence of [...differences(sides), ...violations]) process.stderr.write(`${sentence}\n`);
  process.stdout.write(`${o.json ? jsonOf(runs, days, violations.length) : tableOf(runs, days)}\n`);
  return violations.length === 0 ? 0 : 1;
}

type Run = { seed: number; sides: Compared[] };

/** One object: for one seed its sides by letter, for several a list of such objects. */
function jsonOf(runs: Run[], days: number, violations: number): string {
  const byLetter = ({ seed, sides }: Run) => ({
    seed,
    ...Object.fromEntries(sides.map((side, i) => [HEADS[i].toLowerCase(), side])),
  });
  const what = runs.length === 1 ? byLetter(runs[0]) : { seeds: runs.map(byLetter) };
  return JSON.stringify({ days, ...what, violations, definitions: DEFINITIONS.join(' ') });
}

function tableOf(runs: Run[], days: number): string {
  const [{ seed, sides }] = runs;
  if (runs.length === 1) return compareTable(sides, spell(days), seed);
  const all = sides.map((side, i) => ({ ...side, runs: runs.map((run) => run.sides[i].measures) }));
  return seedsTable(
    all,
    spell(days),
    runs.map((run) => run.seed),
  );
}
