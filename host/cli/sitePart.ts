// `site-part`: reads or edits a site file for a host, which sends its text.
import { type EditOrders, edit } from '../siteDoor/editor';

/** Waits for the orders of the process that started this one, and answers. @returns the exit code */
export async function sitePartCommand(): Promise<number> {
  if (!process.send) return 1;
  const { send } = process;
  const orders = await new Promise<EditOrders | undefined>((resolve) => {
    process.once('message', resolve);
    process.once('disconnect', () => resolve(undefined));
  });
  if (orders) await new Promise((resolve) => send.call(process, edit(orders), resolve));
  if (process.connected) process.disconnect();
  return 0;
}
