// `labels`: a sheet of labels with codes that open each luminaire's page.
import { nowSec, systemClock } from '../clock';
import { type Grid, type GridSaid, gridOf } from '../labels/grid';
import { addressOf, isOwnMachine, labelsOf } from '../labels/labels';
import { checkCodes, writeLabels } from '../labels/pdf';
import type { Site } from '../site/model';
import { counted } from '../words/counted';
import { Mistake } from './arguments';
import { circuitOf, luminaireOf } from './named';
import { checkNew, newStream } from './newFile';

export interface LabelsOptions extends GridSaid {
  site: Site;
  address: string;
  out: string;
  circuit?: string[];
  luminaire?: string[];
  skip: number;
}

/** Its sentence, as the user's mistake. */
function mistaken<T>(make: () => T, option = ''): T {
  try {
    return make();
  } catch (error) {
    throw new Mistake(`${option}${(error as Error).message}`);
  }
}

export interface MadeLabels {
  labels: number;
  sheets: number;
  grid: Grid;
  address: string;
}

/** Writes the PDF. @throws Error with one sentence for an option that is wrong. */
export async function makeLabels(o: LabelsOptions): Promise<MadeLabels> {
  const { site, out, skip } = o;
  checkNew('--out', out);
  const address = mistaken(() => addressOf(o.address), '--address ');
  const grid = mistaken(() => gridOf(o));
  const circuits = o.circuit?.map((id) => circuitOf(site, id));
  const luminaires = o.luminaire?.map((id) => luminaireOf(site, id).luminaire);
  const each = grid.columns * grid.rows;
  if (skip >= each)
    throw new Mistake(`--skip must be less than ${each}, the labels of a sheet, but is ${skip}.`);
  const labels = labelsOf(
    site,
    address,
    (one, lamp) => (circuits?.includes(one) ?? true) && (luminaires?.includes(lamp) ?? true),
  );
  if (labels.length === 0)
    throw new Mistake(
      'None of these luminaires is on one of these circuits; leave out --circuit or --luminaire.',
    );
  mistaken(() => checkCodes(labels, grid));
  const title = `Labels of the emergency luminaires, ${site.name}`;
  const options = { title, paper: o.paper, grid, skip, madeAt: nowSec(systemClock) };
  let sheets = 0;
  await newStream('--out', out, async (to) => {
    sheets = await writeLabels(labels, to, options);
  });
  return { labels: labels.length, sheets, grid, address };
}

/** @returns the exit code. @throws Error with one sentence for an option that is wrong. */
export async function labelsCommand(o: LabelsOptions): Promise<number> {
  const { labels, sheets, grid, address } = await makeLabels(o);
  const size = `${grid.width.toFixed(1)} x ${grid.height.toFixed(1)} mm`;
  process.stdout.write(
    `Written: ${o.out}, ${counted(labels, 'label')} of ${size} on ${counted(sheets, 'sheet')}. ` +
      `Print at 100 %, not fitted to the page.\n`,
  );
  if (isOwnMachine(address))
    process.stdout.write(
      `Please check: ${address} opens on the machine of the host only, on no telephone.\n`,
    );
  return 0;
}
