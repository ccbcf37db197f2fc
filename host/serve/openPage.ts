// The page of a running host, opened: its accounts, its certificate, and what people do first to reach it.
import { systemClock } from '../clock';
import type { Metrics } from '../integrators/metrics';
import { isThisMachine } from '../loopback';
import { loadPage } from '../page/assets';
import type { FrameOptions, PageServer } from '../server/server';
import type { Ending } from './ending';
import { type FrontDeskOptions, openDesk } from './frontDesk';
import type { PageDoor, PageWish } from './pageDoor';
import { PageKeeper, type PageWords, stepsOf } from './pageKeeper';

/** All that the server needs for the frame of the page, and where it serves it. */
export type PageFrame = FrameOptions & PageDoor & { port: number };

export interface PageOpening {
  wish: PageWish & { port: number };
  front: PageDoor;
  desk: Omit<FrontDeskOptions, 'isOpen'>;
  metrics: Metrics | undefined;
  /** Serves it. @throws Error with one sentence */
  serve(frame: PageFrame): Promise<PageServer>;
}

/** What the people at the host are told of the page, and the code that makes the first administrator; '' for none. */
export type FirstWords = PageWords & { code: string };

export interface OpenPage {
  kept: PageKeeper;
  desk: FrameOptions['desk'];
  words: FirstWords;
  /** What people do first to reach it from their devices, in lines; '' on this machine only. */
  steps: string;
}

/** @throws Error with one sentence if its port is taken or the accounts cannot be used */
export async function openPage(o: PageOpening, ending: Ending): Promise<OpenPage> {
  const { wish, front, metrics: numbers } = o;
  const reception = openDesk({ ...o.desk, isOpen: isThisMachine(front.host) });
  ending.add(reception.close);
  const { desk } = reception;
  const onProblem = (sentence: string) => reception.complain(sentence, sentence);
  const page = await loadPage();
  const kept = new PageKeeper({
    ...{ ...wish, door: front, nowMs: () => systemClock.nowMs() },
    open: (at) =>
      o.serve({ ...(numbers && { numbers }), ...{ desk, page, onProblem, port: wish.port }, ...at }),
  });
  await kept.start();
  ending.add(() => kept.close());
  const words = { ...kept.words(), code: reception.code };
  const steps = `${words.also}${stepsOf([words.trust, reception.words(kept.url())])}`;
  return { kept, desk, words, steps };
}
