// The host's side for one controller in a long run: it answers with the time, hands out settings and plan,
// files records and acknowledges them. It keeps no record, only enough to prove that none is missing, doubled
// or changed, so its memory does not grow with the years.
import { ClockTrust, type OrderKind, Phase, TestKind, Verdict } from '../../firmware/contract/codes';
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
import { FieldsInTurn } from './fieldsInTurn';

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
    const fields = new FieldsInTurn(text);
    const journal = fields.text('journal');
    const seq = fields.int('seq');
    if (journal !== this.journal) {
      // A controller whose flash was lost starts a new journal.
      this.journal = journal;
      this.seq = 0;
      this.link = '';
    }
    if (seq > this.seq) this.take(seq, text, fields);
    else if (seq === this.seq && chainHash(sha256, text) !== this.link) this.account.doubled++;
    else this.account.repeated++;
    if (seq >= this.told) this.acknowledge();
  }

  private take(seq: number, text: string, fields: FieldsInTurn): void {
    const account = this.account;
    account.missing += seq - this.seq - 1;
    const utc = fields.int('utc');
    if (fields.text('kind') === 'result') this.count(utc, text, fields);
    const follows = seq > this.seq + 1 || this.link === '' || fields.text('prev') === this.link;
    if (!follows || !hasValidSignature(this.key, 'record', this.address, text)) account.broken++;
    this.seq = seq;
    this.link = chainHash(sha256, text);
    account.filed++;
    this.onRecord?.(text);
  }

  /** Counts the verdicts of a result made at `utc`. */
  private count(utc: number, text: string, fields: FieldsInTurn): void {
    const type = fields.int('type');
    const started = fields.int('started');
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
    if (counts.fail > fail || counts.void === voids) this.account.lastAt[type] = started > 0 ? started : utc;
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
    // In their order.
    const fields = new FieldsInTurn(text);
    const journal = fields.text('journal');
    const boot = fields.int('boot');
    const up = fields.int('up');
    const clock: ClockTrust = fields.int('clock');
    const phase: Phase = fields.int('phase');
    this.told = fields.int('last');
    const acked = fields.int('acked');
    const settingsHeld = fields.int('settings');
    const planHeld = fields.int('plan');
    // Right after a test its clock is still right: a real host would confirm it.
    if (clock !== ClockTrust.Synchronised || phase !== Phase.Recharging) this.tellTime(boot, up);
    if (acked < this.seq && journal === this.journal) this.acknowledge();
    const { settings, plan } = this;
    if (settings && settings.revision !== settingsHeld) this.sendObject('settings', settings);
    if (plan && plan.revision !== planHeld) this.sendObject('plan', plan);
  }

  /** Answers a state with the time. */
  private tellTime(boot: number, up: number): void {
    const errorMs = this.port.clockErrorMs();
    if (errorMs === undefined) return;
    const utc = this.port.utcMs() + errorMs;
    this.send('time', `{"v":${WIRE_VERSION},"boot":${boot},"up":${up},"utc":${utc}`);
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
