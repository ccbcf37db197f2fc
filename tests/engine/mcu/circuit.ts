// One circuit of 16 luminaires, and the part of the host that it needs: settings, plan and time are signed and
// sent over a real broker, and every record is acknowledged.
import { connectAsync, type MqttClient } from 'mqtt';
import { Fitted, Phase, TestKind } from '../../../firmware/contract/codes';
import { lampsText } from '../../../firmware/contract/lamps';
import { slotsText } from '../../../firmware/contract/plan';
import { signingKey, signObject, toHex } from '../../../firmware/contract/signature';
import type { DownKind } from '../../../firmware/contract/topics';
import { sha256 } from '../../../simulator/digest';

export const ADDRESS = 'bench/mcu';
export const SECRET = 'a secret of the emulated bench';
const START_MS = Date.UTC(2026, 0, 5, 12);
const HOUR = 3600;
const LUMINAIRES = 16;
/** The shortest that settings may ask for, s. */
const BRIEF_SEC = 65;
/** Recharge, s: the shortest that settings may ask for, because hours at rest take minutes here. */
const RECHARGE_SEC = HOUR;

/** Text of np.cfg: the pins behind which the emulator's plant stands. */
export function boardConfig(): string {
  return JSON.stringify({
    address: ADDRESS,
    secret: toHex(SECRET),
    journalBytes: 10_240,
    storageAt: 0,
    nonce: 1,
    resetRegister: 0,
    pins: {
      ...{ relay: 'B0', enable: 'B13', red: 'B1', before: 'B6', after: 'B7', aux: '', occupied: '' },
      ...{ stop: '', key: 'B12', zero: 0.5, spanMilliamps: 4096 },
    },
    adc: { driver: 'internal', select: ['A8', 'A9', 'A10', 'A15'], lamp: 'A0' },
    net: { kind: 'host', broker: '127.0.0.1', port: 1883 },
    // As long as the one that `commission` writes.
    link: {
      password: 'as-long-as-it-will-be_',
      keepAliveSec: 3600,
      heartbeatSec: 21600,
      liveMs: 30000,
      jitter: 0.5,
    },
  });
}

function settings(ratedSec: number): object {
  const lamps = Array.from({ length: LUMINAIRES }, (_, i) => ({
    ...{ id: `L${i}`, mode: 0, ratedSec, batteryMilliamps: 200 + i, mainsMilliamps: 0 },
    ...{ chemistry: 'NiCd' as const, margin: 1.4 },
  }));
  return {
    ...{ v: 1, revision: 1, briefSec: BRIEF_SEC, rechargeSec: RECHARGE_SEC, briefRechargeSec: 0 },
    ...{
      earlyPercent: 50,
      floorPercent: 70,
      shared: 0,
      emptySec: 0,
      fitted: Fitted.Key,
      cycle: 1,
      residue: 0,
    },
    ...{ sharedCycle: 400, sharedResidue: 399, hoursFrom: 79_200, hoursSec: 10_800 },
    ...{ noon: 43200, fallbackFrom: 0, fallbackSec: 18000, briefDays: 28, fullDays: 365 },
    lamps: lampsText(lamps),
  };
}

/** A test of the plan: hours from the start to the beginning of its slot of 6 h. */
export interface Planned {
  hour: number;
  kind: TestKind;
}

/** A function test after 1.2 h, and a duration test once the batteries have recharged from it. */
const FIRST: Planned[] = [
  { hour: 1.2, kind: TestKind.Brief },
  { hour: 1.3, kind: TestKind.Full },
];

/**
 * 72 slots: the tests given, and others in later months. A host plans again after every result, so a second plan
 * of this size comes while the first is in force.
 */
function plan(revision: number, tests: Planned[]): object {
  const utc = START_MS / 1000;
  const slots = Array.from({ length: 72 }, (_, i) => {
    const { hour, kind } = tests[i] ?? { hour: 60 + 28 * i, kind: TestKind.Brief };
    const start = utc + hour * HOUR;
    return { test: i + 1, kind, start, end: start + 6 * HOUR };
  });
  return { v: 1, revision, until: utc + 17_000 * HOUR, slots: slotsText(slots) };
}

export class Circuit {
  /** Records and messages as they came from the broker. */
  readonly records: string[] = [];
  phase = Phase.Charged;
  /** Revision of the plan that the controller has, and of the one it is to have. */
  hasPlan = 0;
  wantsPlan = 1;
  private readonly key = signingKey(SECRET, sha256);
  private client: MqttClient | undefined;

  constructor(
    private readonly ratedSec: number,
    private readonly tests = FIRST,
  ) {}

  async connect(url: string): Promise<void> {
    this.client = await connectAsync(url);
    await this.client.subscribeAsync(`nightproof/${ADDRESS}/+`, { qos: 1 });
    this.client.on('message', (topic, payload) =>
      this.answer(topic.split('/')[3], payload.toString('latin1')),
    );
  }

  async close(): Promise<void> {
    await this.client?.endAsync();
  }

  private send(kind: DownKind, message: object): void {
    const text = signObject(this.key, kind, ADDRESS, message);
    this.client?.publish(`nightproof/${ADDRESS}/${kind}`, text, { qos: 1 });
  }

  /** Packets that arrive together while all lamps are read four times a second. */
  private crowd(boot: number, up: number): void {
    const { journal } = JSON.parse(this.records[this.records.length - 1]);
    for (let i = 0; i < 4; i++) {
      this.send('ack', { v: 1, journal, through: this.records.length });
      this.send('time', { v: 1, boot, up, utc: START_MS + up });
    }
  }

  private answer(kind: string, text: string): void {
    if (kind !== 'state' && kind !== 'record') return;
    const m = JSON.parse(text);
    if (kind === 'record') {
      if (m.seq === this.records.length + 1) this.records.push(text);
      this.send('ack', { v: 1, journal: m.journal, through: this.records.length });
      return;
    }
    this.phase = m.phase;
    this.hasPlan = m.plan;
    if (m.settings !== 1) this.send('settings', settings(this.ratedSec));
    else if (m.plan !== this.wantsPlan) this.send('plan', plan(this.wantsPlan, this.tests));
    if (m.phase === Phase.Brief || m.phase === Phase.Full) this.crowd(m.boot, m.up);
    this.send('time', { v: 1, boot: m.boot, up: m.up, utc: START_MS + m.up });
  }
}
