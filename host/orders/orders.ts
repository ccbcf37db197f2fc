// Orders to controllers: signed, numbered, soon expired, and logged with who gave them before they are sent.
// A controller's own rules decide what becomes of them.
import { OrderKind, Reason } from '../../firmware/contract/codes';
import { Limit, WIRE_VERSION } from '../../firmware/contract/limits';
import type { OrderMessage, ReplyMessage } from '../../firmware/contract/messages';
import { topicOf } from '../../firmware/contract/topics';
import { type HostClock, nowSec } from '../clock';
import type { Publish } from '../ingest/answers';
import { type KeyRing, signMessage } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { orderWords, reasonSentence } from '../words/codes';
import { isWho, NAME_RULE, plainWho } from '../words/person';

export interface OrderWish {
  do: OrderKind;
  /** Hold, Extend: seconds. Test: TestKind. Otherwise 0. */
  arg: number;
  /** A name as `isWho` allows it. */
  who: string;
  /** The account of who gave it, for the log book only. */
  account?: string;
}

export interface OrderAnswer {
  ok: boolean;
  /** True if there was no answer: the controller may or may not have acted. */
  unanswered?: boolean;
  /** True if the controller was not holding the supply off: there was nothing to restore. */
  nothingToDo?: boolean;
  /** Plain sentence. */
  answer: string;
}

export interface OrdersOptions {
  keys: KeyRing;
  clock: HostClock;
  publish: Publish;
  logbook: Pick<Logbook, 'orders'>;
  /** How long to wait for an answer, real ms; 10,000 by default. */
  waitMs?: number;
  /** Seconds of the host's clock after which an order expires, at most 900; 60 by default. */
  lifeSec?: () => number;
}

export interface Orders {
  /** Sends an order and waits for its answer. Never rejects: a failure is an answer too. */
  give(address: string, wish: OrderWish): Promise<OrderAnswer>;
  /** Takes a controller's answer (its signature already checked). */
  reply(address: string, reply: ReplyMessage): void;
  /** Gives up on all orders still waiting. */
  close(): Promise<void>;
}

interface Waiting {
  address: string;
  counter: number;
  wish: OrderWish;
  timer: NodeJS.Timeout;
  resolve(answer: OrderAnswer): void;
}

/** How long to wait for an answer, ms, and the seconds after which an order expires. */
const WAIT_MS = 10000;
const LIFE_SEC = 60;

const STOPPED: OrderAnswer = {
  ok: false,
  unanswered: true,
  answer: 'The host was stopped before the controller answered.',
};

const NOTHING_TO_RESTORE = 'There was nothing to restore: the controller was not holding the supply off.';

function answerOf(wish: OrderWish, reply: ReplyMessage): OrderAnswer {
  const what = orderWords(wish.do, wish.arg);
  if (reply.ok === 1) return { ok: true, answer: `The controller has accepted the order to ${what}.` };
  // It says so in every phase without a driven relay, also before the supply is proven back or in an outage.
  if (wish.do === OrderKind.Restore && reply.reason === Reason.NothingToDo)
    return { ok: false, nothingToDo: true, answer: NOTHING_TO_RESTORE };
  const why = reply.reason === Reason.None ? 'It gave no reason.' : reasonSentence(reply.reason);
  return { ok: false, answer: `The controller refused to ${what}. ${why}` };
}

class SignedOrders implements Orders {
  private readonly waiting = new Map<string, Waiting>();
  private isClosed = false;

  constructor(private readonly o: OrdersOptions) {}

  async give(address: string, wish: OrderWish): Promise<OrderAnswer> {
    if (!isWho(wish.who))
      return {
        ok: false,
        answer: `Give the name of the person giving the order: ${NAME_RULE}.`,
      };
    const at = nowSec(this.o.clock);
    let counter: number;
    try {
      // Durable before it is sent: after any crash the next order still has a higher counter.
      counter = await this.o.logbook.orders.take({ address, at, ...wish });
    } catch (error) {
      return { ok: false, answer: `The order was not sent. ${(error as Error).message}` };
    }
    if (this.isClosed) return STOPPED;
    const answer = this.await(address, counter, wish);
    if (!this.send(address, counter, at, wish))
      void this.settle(address, counter, {
        ok: false,
        answer: 'The order was not sent: there is no connection to the MQTT broker.',
      });
    return answer;
  }

  reply(address: string, reply: ReplyMessage): void {
    const waiting = this.waiting.get(`${address} ${reply.counter}`);
    if (waiting) void this.settle(address, reply.counter, answerOf(waiting.wish, reply));
  }

  async close(): Promise<void> {
    this.isClosed = true;
    const all = [...this.waiting.values()];
    await Promise.all(all.map((w) => this.settle(w.address, w.counter, STOPPED)));
  }

  private send(address: string, counter: number, at: number, wish: OrderWish): boolean {
    const lifeSec = Math.min(Limit.OrderLifeSecMax, this.o.lifeSec?.() ?? LIFE_SEC);
    const who = plainWho(wish.who);
    const expires = Math.floor(at + lifeSec);
    const { do: what, arg } = wish;
    const order: OrderMessage = { v: WIRE_VERSION, counter, expires, do: what, arg, who };
    const payload = signMessage(this.o.keys, address, 'order', order);
    return this.o.publish(topicOf(address, 'order'), payload, { qos: 1 });
  }

  private await(address: string, counter: number, wish: OrderWish): Promise<OrderAnswer> {
    const waitMs = this.o.waitMs ?? WAIT_MS;
    const sec = Math.round(waitMs / 1000);
    const answer = `No answer from the controller within ${sec} s; it may or may not have acted.`;
    return new Promise((resolve) => {
      const timer = setTimeout(
        () => void this.settle(address, counter, { ok: false, unanswered: true, answer }),
        waitMs,
      );
      this.waiting.set(`${address} ${counter}`, { address, counter, wish, timer, resolve });
    });
  }

  private async settle(address: string, counter: number, answer: OrderAnswer): Promise<void> {
    const name = `${address} ${counter}`;
    const waiting = this.waiting.get(name);
    if (!waiting) return;
    this.waiting.delete(name);
    clearTimeout(waiting.timer);
    try {
      await this.o.logbook.orders.answer(address, counter, answer.answer, nowSec(this.o.clock));
    } catch {
      // The order itself is logged; failing to log its answer must not keep the answer from the person
      // asking.
    }
    waiting.resolve(answer);
  }
}

/** Has a controller send every record that it keeps once more, in the host's own name; resolves with whether it will. */
export async function sendAgain(orders: Pick<Orders, 'give'>, address: string): Promise<boolean> {
  return (await orders.give(address, { do: OrderKind.SendAgain, arg: 0, who: 'Nightproof' })).ok;
}

/** Sends orders and waits for their answers; see `Orders`. */
export function createOrders(options: OrdersOptions): Orders {
  return new SignedOrders(options);
}
