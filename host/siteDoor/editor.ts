// Reads and edits the text of a site file for the host. A large one takes seconds of processor time, so it is read in
// a process of its own, by the command that people use too: the host goes on answering.
import { type ChildProcess, fork } from 'node:child_process';
import { createRequire } from 'node:module';
import { setPriority } from 'node:os';
import { localDate } from '../site/civil';
import type { Change } from '../site/edit/change';
import type { SiteData } from '../site/edit/data';
import { dataOf, type Edited, editSite, type Refused } from '../site/edit/edit';
import { formatMistake, parseSite } from '../site/load';

/** An edit of a text, or only a look at it where there are no changes. */
export interface EditOrders {
  text: string;
  /** Its name, for the sentences. */
  file: string;
  changes: readonly Change[];
  /** UTC second. */
  now: number;
}

/** What a text says: its data, or its mistakes in sentences. */
export type Looked = { data: SiteData } | { wrong: string };

export interface EditAnswer {
  looked: Looked;
  /** Undefined where there were no changes, or the text has mistakes. */
  edited?: Edited | Refused;
}

export interface SiteEditor {
  /** @throws Error with one sentence if its process ends without an answer */
  ask(orders: EditOrders): Promise<EditAnswer>;
  stop(): void;
}

/** Characters of a text that is read here: about a hundred luminaires, or a tenth of a second. */
export const SMALL = 15_000;
/** It must not take the processor from the host: Unix niceness, 0 to 19. */
const NICENESS = 5;

/** Does what was ordered; takes as long as the text is. */
export function edit({ text, file, changes, now }: EditOrders): EditAnswer {
  const read = parseSite(text, file);
  if ('mistakes' in read) return { looked: { wrong: read.mistakes.map(formatMistake).join(' ') } };
  const looked = { data: dataOf(text) };
  if (changes.length === 0) return { looked };
  return { looked, edited: editSite(text, file, changes, (zone) => localDate(zone, now)) };
}

function answerOf(child: ChildProcess): Promise<EditAnswer> {
  return new Promise((done, fail) => {
    child.once('message', done);
    child.once('error', fail);
    child.once('exit', () => fail(new Error('The process that reads the site file was ended.')));
  });
}

/** See `SiteEditor`. */
export function createSiteEditor(): SiteEditor {
  const children = new Set<ChildProcess>();
  return {
    async ask(orders) {
      if (orders.text.length < SMALL) return edit(orders);
      const { resolve } = createRequire(import.meta.url);
      const child = fork(resolve('#root/build/host/main.js'), ['site-part'], {
        ...{ serialization: 'advanced', execArgv: [] },
      });
      children.add(child);
      try {
        if (child.pid !== undefined) setPriority(child.pid, NICENESS);
        child.send(orders);
        return await answerOf(child);
      } finally {
        children.delete(child);
        child.kill('SIGKILL');
      }
    },
    stop() {
      for (const child of children) child.kill('SIGKILL');
    },
  };
}
