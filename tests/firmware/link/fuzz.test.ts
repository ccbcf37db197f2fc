// An attacker on the wire, with the clock set and a running connection: packets of every kind, genuine messages
// bent, cut, replayed, retained, signed for somebody else or with another key. 20,000 in `npm test`, 1,000,000 in
// `npm run test:deep`. The controller obeys none of them and never throws.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { signingKey } from '../../../firmware/contract/signature';
import { type DownKind, topicOf } from '../../../firmware/contract/topics';
import { type Link, linkTurn, newLink } from '../../../firmware/link/link';
import { LinkState, mqttData, mqttOpened } from '../../../firmware/link/mqtt';
import { encodePublish } from '../../../firmware/link/packets';
import { sha256 } from '../../../simulator/digest';
import { fork, nextUnit, type Random } from '../../../simulator/random';
import { sizes } from '../../support/depth';
import { ADDRESS, Door } from './door';

const KINDS: DownKind[] = ['order', 'plan', 'settings', 'ack', 'time'];
const OPTIONS = { user: '', password: '', keepAliveSec: 0, heartbeatSec: 3600, liveMs: 0, jitter: 0 };
const ACCEPTED = '\x20\x02\x00\x00';

class Attack {
  readonly door = new Door();
  readonly link: Link;
  now = 0;
  private readonly random: Random = fork(12, 'attacker');
  private readonly genuine: { kind: DownKind; text: string }[];
  private written = '';

  constructor() {
    const net = {
      stops: 0,
      isReady: () => true,
      open: () => {},
      write: (bytes: string) => {
        this.written = bytes;
      },
      close: () => {},
    };
    const { core, journal } = this.door.inbox;
    this.link = newLink(OPTIONS, core, journal, this.door.inbox, ADDRESS, net);
    this.genuine = this.messages();
  }

  /** What a host would send, each signed as it must be. The order has been carried out already. */
  private messages(): { kind: DownKind; text: string }[] {
    const order = this.door.order({ do: OrderKind.Hold, arg: 600 });
    this.door.give('order', order);
    this.door.give('order', this.door.order({ counter: 2, do: OrderKind.Release, arg: 0 }));
    const utc = this.door.utc();
    return [
      { kind: 'order', text: order },
      {
        kind: 'plan',
        text: this.door.signed('plan', { v: 1, revision: 1, until: utc + 9, slots: `1,1,${utc},99;` }),
      },
      { kind: 'settings', text: this.door.signed('settings', { v: 1, revision: 1, briefSec: 65 }) },
      { kind: 'ack', text: this.door.signed('ack', { v: 1, journal: 'bbbb0001', through: 9 }) },
      { kind: 'time', text: this.door.signed('time', { v: 1, boot: 999, up: 1, utc: utc * 1000 }) },
    ];
  }

  below(n: number): number {
    return Math.floor(nextUnit(this.random) * n);
  }

  private noise(length: number): string {
    return String.fromCharCode(...Array.from({ length }, () => this.below(256)));
  }

  /** The text with one character changed, a piece missing or one doubled. */
  private bent(text: string): string {
    const at = this.below(text.length);
    const more = at + 1 + this.below(8);
    switch (this.below(4)) {
      case 0:
        return (
          text.slice(0, at) +
          String.fromCharCode(text.charCodeAt(at) ^ (1 << this.below(8))) +
          text.slice(at + 1)
        );
      case 1:
        return text.slice(0, at) + text.slice(more);
      case 2:
        return text.slice(0, more) + text.slice(at);
      default:
        return text.slice(0, at);
    }
  }

  /** A message signed by somebody without the key, for somebody else, or of another kind. */
  private forged(kind: DownKind): string {
    const fields = { v: 1, counter: 3 + this.below(99), expires: this.door.utc() + 200, do: this.below(9) };
    const message = { ...fields, arg: this.below(5), who: 'x', revision: 9, until: 4e9, slots: '1,1,1,1;' };
    const other = this.below(3);
    if (other === 0) return this.door.signed(kind, message, signingKey(`guess ${this.below(99)}`, sha256));
    if (other === 1) return this.door.signed(kind, message, undefined, 'site/c2');
    return this.door.signed(KINDS[(KINDS.indexOf(kind) + 1) % KINDS.length], message);
  }

  packet(): string {
    const { kind, text } = this.genuine[this.below(this.genuine.length)];
    const publish = (payload: string, topic = topicOf(ADDRESS, kind), retain = 0) => {
      const qos = this.below(2);
      return encodePublish(topic, payload, qos, retain, 0, qos * (1 + this.below(60_000)));
    };
    switch (this.below(8)) {
      case 0:
        return this.noise(1 + this.below(60));
      case 1:
        return this.bent(publish(text));
      case 2:
        return publish(this.noise(this.below(200)));
      case 3:
        return publish(text, topicOf(ADDRESS, KINDS[this.below(5)]), this.below(2));
      case 4:
        return publish('j'.repeat(this.below(Limit.PacketBytes)));
      case 5:
        return publish(text);
      case 6:
        return publish(this.forged(kind));
      default:
        return publish(this.bent(text));
    }
  }

  /** Lets the controller connect again where the last packet made it hang up. */
  connect(): void {
    const m = this.link.mqtt;
    for (let tries = 0; m.state !== LinkState.Online; tries++) {
      if (tries > 99) throw new Error('The controller does not come back.');
      this.now = Math.max(this.now + 250, m.state === LinkState.Waiting ? m.wakeAt : 0);
      linkTurn(this.link, this.now, this.door.bench.now);
      mqttOpened(m, this.now);
      mqttData(m, ACCEPTED, this.now);
      // Five topics: the remaining length takes two bytes.
      const id = this.written.slice(3, 5);
      mqttData(m, `\x90\x07${id}\x01\x01\x01\x01\x01`, this.now);
    }
  }

  send(bytes: string): void {
    const cut = this.below(4) === 0 ? this.below(bytes.length) : bytes.length;
    mqttData(this.link.mqtt, bytes.slice(0, cut), this.now);
    mqttData(this.link.mqtt, bytes.slice(cut), this.now);
    this.now += 250;
    for (let i = 0; i < 2; i++) linkTurn(this.link, this.now, this.door.bench.now);
  }
}

describe('an attacker on the wire', () => {
  it(`sends ${sizes.packets} packets; none is obeyed, and none makes the controller throw`, () => {
    const attack = new Attack();
    const { bench, inbox } = attack.door;
    const { s } = bench;
    const base = [s.utcBase, s.set.revision, s.planRevision, inbox.counter, inbox.journal.acked];
    let longest = 0;
    let sessions = 0;
    for (let i = 0; i < sizes.packets; i++) {
      if (attack.link.mqtt.state !== LinkState.Online) sessions++;
      attack.connect();
      attack.send(attack.packet());
      longest = Math.max(longest, attack.link.mqtt.inbound.length + attack.link.mqtt.packet.payload.length);
      // Records of refusals go where the controller would write them.
      s.outCount = 0;
      const state = [s.utcBase, s.set.revision, s.planRevision, inbox.counter, inbox.journal.acked];
      if (state.some((value, k) => value !== base[k]) || s.drive !== 0 || s.holdUntil !== 0)
        throw new Error(`Packet ${i} was obeyed: ${state} after ${base}`);
    }
    expect(s.phase).toBe(Phase.Charged);
    expect(s.clockSet).toBe(1);
    expect(inbox.refused).toBeGreaterThan(sizes.packets / 10);
    expect(sessions).toBeGreaterThan(sizes.packets / 100);
    expect(longest).toBeLessThan(Limit.LongBytes + 64);
  });
});
