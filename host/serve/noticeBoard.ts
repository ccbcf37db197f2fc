// Keeps the risk notice on the building's broker current.
import { Limit } from '../../firmware/contract/limits';
import { noticeTopic } from '../../firmware/contract/topics';
import { guarded } from '../guarded';
import { noticeMessage } from '../house/view/noticeMessage';
import type { View } from '../house/view/view';
import type { Publish } from '../ingest/answers';

export interface NoticeBoardOptions {
  site: string;
  view: Pick<View, 'status'>;
  publish: Publish;
  now(): number;
  onProblem(sentence: string): void;
}

/**
 * Time between checks whether the notice has changed, ms; and the number of checks after which it is sent
 * anyway.
 */
const LOOK_MS = 5000;
const ANEW_LOOKS = 120;

/** Checks at once and then repeatedly, until the returned function is called. */
export function startNoticeBoard(o: NoticeBoardOptions): () => void {
  let sent = '';
  let looks = 0;
  const look = (): void => {
    const { notice } = o.view.status(o.now(), 1);
    const what = noticeMessage({ ...notice, at: 0 }, Limit.PacketBytes);
    looks++;
    // A restarted broker has forgotten what it retained.
    if (what === sent && looks % ANEW_LOOKS !== 0) return;
    const text = noticeMessage(notice, Limit.PacketBytes);
    if (o.publish(noticeTopic(o.site), text, { qos: 1, retain: true })) sent = what;
  };
  const safely = guarded(look, o.onProblem);
  safely();
  const timer = setInterval(safely, LOOK_MS);
  return () => clearInterval(timer);
}
