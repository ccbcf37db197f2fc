// `simulate --compare`: two site files through the same years and the same failures, side by side.
import { measure } from '../../simulator/compare/measures';
import type { EstateYear } from '../picture/data';
import { runSide, type Side } from '../rehearse/compareSides';
import { startUtcMs } from '../rehearse/estate';
import { yearOf } from '../rehearse/yearData';
import type { Site } from '../site/model';
import { type Compared, compareTable, DEFINITIONS } from './compareTable';
import { writePicture } from './pictureFile';
import { progressBar } from './progress';

/** A site and the file it was read from. */
export interface Named {
  file: string;
  site: Site;
}

export interface CompareOptions {
  sides: [Named, Named];
  days: number;
  seed: number;
  workers: number;
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

/** One sentence for each side with luminaires that the other lacks: they have failures of their own. */
function differences(sides: [Named, Named]): string[] {
  return sides.flatMap((side, i) => {
    const other = new Set(luminairesOf(sides[1 - i]));
    const own = luminairesOf(side).filter((id) => !other.has(id));
    if (own.length === 0) return [];
    return `Only ${side.file} has ${own.length === 1 ? 'luminaire' : `${own.length} luminaires, such as`} ${own[0]}.`;
  });
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

/**
 * @returns the exit code: 0 if no controller broke an invariant.
 * @throws Error with one sentence if the two do not begin at the same moment.
 */
export async function compareCommand(o: CompareOptions): Promise<number> {
  const { sides, days, seed, workers } = o;
  if (startUtcMs(sides[0].site) !== startUtcMs(sides[1].site))
    throw new Error(
      `${sides[0].file} and ${sides[1].file} start at different moments; give both the same start and the same time ` +
        'zone.',
    );
  const bar = progressBar(days * sides.length, 'days', o.json);
  const done: Side[] = [];
  for (const { site } of sides)
    done.push(await runSide({ site, days, seed, workers, onDays: (more) => bar.step(more) }));
  bar.end();
  const [a, b] = done.map((side, i) => told(sides[i], side));
  if (o.svg !== undefined)
    writePicture(
      o.svg,
      done.map((side, i) => drawn(sides[i], side, days)),
    );
  const violations = done.flatMap((side) => side.violations);
  for (const sentence of [...differences(sides), ...violations]) process.stderr.write(`${sentence}\n`);
  const definitions = DEFINITIONS.join(' ');
  const result = { days, seed, a, b, violations: violations.length, definitions };
  process.stdout.write(`${o.json ? JSON.stringify(result) : compareTable([a, b], spell(days), seed)}\n`);
  return violations.length === 0 ? 0 : 1;
}
