// `report-part`: makes one report for a host, which sends the orders.

import { periodOf } from '../report/period';
import type { ReportAnswer, ReportOrders } from '../server/reports';
import { writeReport } from './report';

async function made({ format, out, from, to, ...o }: ReportOrders): Promise<ReportAnswer> {
  try {
    await writeReport({ ...o, period: periodOf(o.site, from, to), [format === 'csv' ? 'csv' : 'out']: out });
    return { cannot: '' };
  } catch (error) {
    return { cannot: (error as Error).message };
  }
}

/** Waits for the orders of the process that started this one, answers and ends. @returns the exit code */
export async function reportPartCommand(): Promise<number> {
  if (!process.send) return 1;
  const orders = await new Promise<ReportOrders>((resolve) => process.once('message', resolve));
  process.send(await made(orders));
  process.disconnect();
  return 0;
}
