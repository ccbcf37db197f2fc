// The verb `labels` and its options.
import { type Command, InvalidArgumentError, Option } from 'commander';
import { GRID_DEFAULT } from '../labels/grid';
import { siteArgument, siteOf, whole } from './arguments';
import type { LabelsOptions } from './labels';

function millimetres(text: string): number {
  if (/^\d{1,2}(\.\d+)?$/.test(text)) return Number(text);
  throw new InvalidArgumentError('--gap must be millimetres such as 2.5.');
}

export function addLabels(program: Command): void {
  program
    .command('labels')
    .summary('Write labels for the luminaires, with a code that opens the page of each.')
    .description(
      'Write labels for the luminaires, with a code that opens the page of each.\n\n' +
        'A label names the luminaire, its place, circuit and battery: nothing that the page does not show.',
    )
    .addArgument(siteArgument())
    .requiredOption(
      '--address <url>',
      'address at which telephones open the page, e.g. https://192.168.1.20:8350',
    )
    .requiredOption('--out <file>', 'new PDF to write')
    .option('--circuit <id...>', 'only the luminaires of these circuits')
    .option('--luminaire <id...>', 'only these luminaires')
    .option('--grid <labels>', 'labels of a sheet as columns x rows', GRID_DEFAULT)
    .option(
      '--label <size>',
      'width x height of a label in mm, e.g. 63.5x38.1 (default: the sheet divided evenly)',
    )
    .option('--gap <mm>', 'space between columns in mm', millimetres, 0)
    .option('--skip <n>', 'labels already taken from the first sheet', whole('--skip', 0, 9800), 0)
    .addOption(new Option('--paper <size>', 'size of the sheets').choices(['a4', 'letter']).default('a4'))
    .action(async (file: string, o: Omit<LabelsOptions, 'site'>) => {
      const { labelsCommand } = await import('./labels');
      process.exitCode = await labelsCommand({ site: await siteOf(file), ...o });
    });
}
