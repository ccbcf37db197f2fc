// `report-part`: makes one report, or labels, for a host, which sends the orders.
import { rmSync } from 'node:fs';
import { dirname } from 'node:path';
import { SHEETS } from '../labels/sheets';
import { periodOf } from '../report/period';
import { cannotWrite, type ReportAnswer, type ReportOrders } from '../server/reports';
import { makeLabels } from './labels';
import { CannotWrite } from './newFile';
import { writeReport } from './report';

async function make(orders: ReportOrders): Promise<void> {
  const { site, out } = orders;
  if (orders.format === 'labels') {
    const { address, sheet, circuit } = orders;
    await makeLabels({
      ...{ site, out, address, skip: 0 },
      ...SHEETS[sheet],
      ...(circuit && { circuit: [circuit] }),
    });
    return;
  }
  const { format, from, to, out: _, ...o } = orders;
  await writeReport({ ...o, period: periodOf(site, from, to), [format === 'csv' ? 'csv' : 'out']: out });
}

async function made(orders: ReportOrders): Promise<ReportAnswer> {
  try {
    await make(orders);
    return { cannot: '' };
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    // Where the host keeps it until it is read concerns nobody at the page.
    return { cannot: error instanceof CannotWrite ? cannotWrite(code) : message };
  }
}

/** Waits for the orders of the process that started this one, answers and ends. @returns the exit code */
export async function reportPartCommand(): Promise<number> {
  if (!process.send) return 1;
  let orders: ReportOrders | undefined;
  // Without its host nobody reads what it makes, nor takes it away.
  const alone = (): never => {
    if (orders) rmSync(dirname(orders.out), { recursive: true, force: true });
    process.exit(1);
  };
  process.once('disconnect', alone);
  orders = await new Promise<ReportOrders>((resolve) =>
    process.once('message', (told: ReportOrders) => {
      orders = told;
      resolve(told);
    }),
  );
  process.send(await made(orders));
  process.off('disconnect', alone);
  process.disconnect();
  return 0;
}
