// The inbox with a core, a journal and flash behind it, and a host that signs.
import type { Reason } from '../../../firmware/contract/codes';
import { signingKey, signObject } from '../../../firmware/contract/signature';
import type { DownKind } from '../../../firmware/contract/topics';
import { mountJournal } from '../../../firmware/journal/journal';
import { hasUnread, type Inbox, readOn, receive } from '../../../firmware/link/inbox';
import { newRecorder } from '../../../firmware/trace/recorder';
import { sha256 } from '../../../simulator/digest';
import { SimulatedFlash } from '../../../simulator/flash';
import { Bench, IN_WINDOW, START } from '../core/bench';

export const ADDRESS = 'site/c1';
export const KEY = signingKey('door secret', sha256);

export class Door {
  readonly bench: Bench;
  readonly flash = new SimulatedFlash();
  readonly inbox: Inbox;

  constructor(bench = new Bench().plan([]).run(IN_WINDOW)) {
    this.bench = bench;
    const journal = mountJournal(
      this.flash,
      KEY,
      ADDRESS,
      65_536,
      () => 'aaaa0001',
      () => {},
    );
    if (!journal) throw new Error('The journal did not mount.');
    this.inbox = {
      core: bench.s,
      journal,
      recorder: newRecorder(),
      flash: this.flash,
      key: KEY,
      address: ADDRESS,
      counter: 0,
      refused: 0,
      refusalAt: 0,
      unreadSettings: '',
      unreadPlan: '',
      unsaved: '',
      draft: undefined,
      hasAck: 0,
      replyCounter: -1,
      replyReason: 0,
    };
  }

  /** UTC second by the controller's clock. */
  utc(): number {
    return START + Math.floor(this.bench.now / 1000);
  }

  /** A signed message from the host. */
  signed(kind: DownKind, message: object, key = KEY, address = ADDRESS): string {
    return signObject(key, kind, address, message);
  }

  order(fields: object = {}): string {
    return this.signed('order', {
      v: 1,
      counter: 1,
      expires: this.utc() + 300,
      do: 2,
      arg: 600,
      who: 'porter',
      ...fields,
    });
  }

  give(kind: DownKind, text: string, retained = 0): void {
    receive(this.inbox, kind, text, retained, this.bench.now);
    while (hasUnread(this.inbox)) readOn(this.inbox, this.bench.now);
    this.bench.perform();
  }

  /** Reason in the pending reply, which is then cleared. */
  reply(): Reason | undefined {
    if (this.inbox.replyCounter < 0) return undefined;
    this.inbox.replyCounter = -1;
    return this.inbox.replyReason;
  }

  refusals(): number[] {
    return this.bench.of('refused').map((r) => r.reason);
  }
}
