// The sheets of a report, taken apart.
import type { Block } from '../../../host/report/document';
import type { Report } from '../../../host/report/report';
import { documentOf } from '../../../host/report/sheets';

export async function blocksOf(report: Report): Promise<Block[]> {
  const blocks: Block[] = [];
  for await (const block of documentOf(report).blocks) blocks.push(block);
  return blocks;
}

/** The tables under a heading, as rows of cells with their titles. */
export function tablesUnder(blocks: Block[], heading: string): Record<string, string>[] {
  const from = blocks.findIndex((one) => one.kind === 'heading' && one.text === heading);
  const rest = blocks.slice(from + 1);
  const to = rest.findIndex(({ kind }) => kind === 'heading');
  return rest
    .slice(0, to)
    .flatMap((one) =>
      one.kind === 'table'
        ? [...one.rows].map(({ cells }) =>
            Object.fromEntries(one.columns.map(({ title }, i) => [title, cells[i]])),
          )
        : [],
    );
}
