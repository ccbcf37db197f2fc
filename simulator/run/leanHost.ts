// The host's side for one controller in a long run: it answers with the time, hands out settings and plan,
// files records and acknowledges them. It keeps no record, only enough to prove that none is missing, doubled
// or changed, so its memory does not grow with the years.
import { ClockTrust, type OrderKind, Phase, TestKind, Verdict } from '../../firmware/contract/codes';
import { intField, textField } from '../../firmware/contract/fields';
import { WIRE_VERSION } from '../../firmware/contract/limits';
import type { PlanMessage, SettingsMessage } from '../../firmware/contract/messages';
import {
  chainHash,
  hasValidSignature,
  type SigningKey,
  sign,
  signingKey,
  signObject,
} from '../../firmware/contract/signature';
import { type DownKind, type MessageKind, topicOf } from '../../firmware/contract/topics';
import { sha256 } from '../digest';

const LAMPS = '"lamps":[';

/** Verdicts on luminaires, by kind of test. */
export interface Verdicts {
  pass: number;
  fail: number;
  void: number;
}

/** What a controller was sent and what came back. */
export interface Account {
  /** Verdicts by kind of test (TestKind). */
  tests: Verdicts[];
  /** Records filed, once each. */
  filed: number;
  /** Missing numbers. */
  missing: number;
  /** Records repeated unchanged, and different ones under a number just filed. */
  repeated: number;
  doubled: number;
  /** Records and states with a wrong signature, and records that do not follow the one before. */
  broken: number;
  /**
   * UTC second of the last test of a kind (TestKind) that failed, or was judged for every lamp; 0
   * none.
   */
  lastAt: number[];
}

/** An order to be given. */
export interface Wish {
  do: OrderKind;
  arg: number;
  who: string;
}

export interface DeskPort {
  utcMs(): number;
  /** How far the host's time is wrong, ms; undefined while it does not answer. */
  clockErrorMs(): number | undefined;
  publish(topic: string, payload: string): void;
}

function newAccount(): Account {
  const kinds = TestKind.Commissioning + 1;
  return {
    tests: Array.from({ length: kinds }, () => ({ pass: 0, fail: 0, void: 0 })),
    filed: 0,
    missing: 0,
    repeated: 0,
    doubled: 0,
    broken: 0,
    lastAt: new Array(kinds).fill(0),
  };
}

export class LeanHost {
  readonly account = newAccount();
  /** What the controller should know. */
  settings: SettingsMessage | undefined;
  plan: PlanMessage | undefined;
  /** Chain hash of the last record filed: it covers all before it. */
  link = '';
  /** Called with each record as it is filed. */
  onRecord: ((text: string) => void) | undefined;
  private readonly key: SigningKey;
  private readonly topics: Record<'record' | 'state' | 'ack' | 'time', string>;
  private journal = '';
  private seq = 0;
  /** Newest record the controller has announced, and orders given so far. */
  private told = 0;
  private orders = 0;

  constructor(
    private readonly address: string,
    secret: string,
    private readonly port: DeskPort,
  ) {
    this.key = signingKey(secret, sha256);
    const topic = (kind: MessageKind) => topicOf(address, kind);
    this.topics = { record: topic('record'), state: topic('state'), ack: topic('ack'), time: topic('time') };
  }

  /** Records a controller has made that were not filed. */
  unfiled(journal: { id: string; last: number } | undefined): number {
    if (!journal) return 0;
    return journal.id === this.journal ? journal.last - this.seq : journal.last;
  }

  accept(topic: string, payload: string): void {
    if (topic === this.topics.record) this.file(payload);
    else if (topic === this.topics.state) this.answer(payload);
  }

  private file(text: string): void {
    const journal = textField(text, 'journal');
    const seq = intField(text, 'seq', 0);
    if (journal !== this.journal) {
      // A controller whose flash was lost starts a new journal.
      this.journal = journal;
      this.seq = 0;
      this.link = '';
    }
    if (seq > this.seq) this.take(seq, text);
    else if (seq === this.seq && chainHash(sha256, text) !== this.link) this.account.doubled++;
    else this.account.repeated++;
    if (seq >= this.told) this.acknowledge();
  }

  private take(seq: number, text: string): void {
    const account = this.account;
    account.missing += seq - this.seq - 1;
    const follows = seq > this.seq + 1 || this.link === '' || textField(text, 'prev') === this.link;
    if (!follows || !hasValidSignature(this.key, 'record', this.address, text)) account.broken++;
    this.seq = seq;
    this.link = chainHash(sha256, text);
    account.filed++;
    if (textField(text, 'kind') === 'result') this.count(text);
    this.onRecord?.(text);
  }

  /** Counts the verdicts of a result. */
  private count(text: string): void {
    const type = intField(text, 'type', 0);
    const counts = this.account.tests[type];
    const { fail, void: voids } = counts;
    let at = text.indexOf(LAMPS) + LAMPS.length;
    for (; text.charAt(at) === '['; at = text.indexOf(']', at) + 2) {
      // The first column, of one digit.
      const verdict: Verdict = text.charCodeAt(at + 1) - 48;
      if (verdict === Verdict.Pass) counts.pass++;
      else if (verdict === Verdict.Fail) counts.fail++;
      else counts.void++;
    }
    const started = intField(text, 'started', 0);
    if (counts.fail > fail || counts.void === voids)
      this.account.lastAt[type] = started > 0 ? started : intField(text, 'utc', 0);
  }

  private acknowledge(): void {
    this.send('ack', `{"v":${WIRE_VERSION},"journal":"${this.journal}","through":${this.seq}`);
  }

  /** Reads only the fields it needs: thousands of states come in a simulated second. */
  private answer(text: string): void {
    if (!hasValidSignature(this.key, 'state', this.address, text)) {
      this.account.broken++;
      return;
    }
    this.told = intField(text, 'last', 0);
    // Right after a test its clock is still right: a real host would confirm it.
    const clock: ClockTrust = intField(text, 'clock', 0);
    const phase: Phase = intField(text, 'phase', 0);
    if (clock !== ClockTrust.Synchronised || phase !== Phase.Recharging) this.tellTime(text);
    if (intField(text, 'acked', 0) < this.seq && textField(text, 'journal') === this.journal)
      this.acknowledge();
    const { settings, plan } = this;
    if (settings && settings.revision !== intField(text, 'settings', 0))
      this.sendObject('settings', settings);
    if (plan && plan.revision !== intField(text, 'plan', 0)) this.sendObject('plan', plan);
  }

  /** Answers a state with the time. */
  private tellTime(state: string): void {
    const errorMs = this.port.clockErrorMs();
    if (errorMs === undefined) return;
    const utc = this.port.utcMs() + errorMs;
    const boot = intField(state, 'boot', 0);
    this.send('time', `{"v":${WIRE_VERSION},"boot":${boot},"up":${intField(state, 'up', 0)},"utc":${utc}`);
  }

  /** Gives an order that is valid for ten minutes. */
  order(wish: Wish): void {
    const expires = Math.floor(this.port.utcMs() / 1000) + 600;
    this.sendObject('order', { v: WIRE_VERSION, counter: ++this.orders, expires, ...wish });
  }

  private sendObject(kind: DownKind, message: object): void {
    this.port.publish(topicOf(this.address, kind), signObject(this.key, kind, this.address, message));
  }

  /** Sends JSON text without its closing brace. */
  private send(kind: 'ack' | 'time', text: string): void {
    this.port.publish(this.topics[kind], sign(this.key, kind, this.address, text));
  }
}
