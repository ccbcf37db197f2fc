// A circuit of 16 luminaires whose lamps are read through modules on a bus, on the real interpreter: the library
// `modbus-serial` answers on a pseudo-terminal, and a lamp's current is what the simulator's lamp of the same
// scenario draws at that time of the test.
import mqtt, { type Packet } from 'mqtt-packet';
import type { TestKind } from '../../firmware/contract/codes';
import { slotsText } from '../../firmware/contract/plan';
import { ModbusBus, type Modules, Terminal } from '../support/modbusBus';
import { msOf } from './lines';
import { Rig, rigParts } from './rig';
import { playOnSimulator, type Scenario, START_MS, signed } from './scenario';

const LUMINAIRES = 16;
/** The shortest that settings may ask for, s. */
const RATED_SEC = 900;
const BRIEF_SEC = 65;
const TEST_AT_SEC = START_MS / 1000 + 36 * 3600;
const WINDOW_SEC = 5 * 3600;
/** The bus begins to be read so long before the test, ms. The result comes so long after it at most. */
const AROUND_MS = 10_000;
const LATE_MS = 180_000;
/** How often the lamps' currents are set: until the points are over, and then, ms. */
const STEP_MS = 500;
const LATER_MS = 4000;
const POINTS_MS = 70_000;
const REQUEST_BYTES = 8;
/** How long nothing may happen on the line before a byte of it counts as lost, real ms. */
const STANDSTILL_MS = 30_000;

interface Result {
  kind: string;
  journal: string;
  seq: number;
  end: number;
  lamps: number[][];
}

/** Verdict and reason of each lamp. */
export const verdictsOf = (result: Result): number[][] => result.lamps.map((lamp) => lamp.slice(0, 2));

/** One test of the circuit, as the simulator makes it through a converter. */
function scenarioOf(kind: TestKind): Scenario {
  return playOnSimulator({
    ...{ luminaires: LUMINAIRES, hours: 40, ratedSec: RATED_SEC, briefSec: BRIEF_SEC, planHours: 480 },
    slots: slotsText([{ test: 1, kind, start: TEST_AT_SEC, end: TEST_AT_SEC + WINDOW_SEC }]),
    // One lamp, after two thirds of its time.
    endTogether: 1,
  });
}

export class BusCircuit {
  readonly rig = new Rig();
  readonly modules: Modules = new Map();
  readonly bus: ModbusBus;
  /** Modules whose answers come after their time: when two other modules have been asked, or in the longer wait. */
  readonly slow = new Set<number>();
  private readonly terminal = new Terminal();
  /** Requests so far, bytes that answered the last one, and a late answer with the number of its request. */
  private asked = 0;
  private answered = 0;
  /** The beginning of a request, and how often something was heard on the line. */
  private sent = Buffer.alloc(0);
  private heard = 0;
  private late: { number: number; bytes: Buffer } | undefined;
  /** Modules whose answers may be damaged. */
  private readonly faulty: Set<number>;
  private readonly scenario: Scenario;
  /** When the pulses began and ended in the simulator, and began here, ms. */
  private readonly began: number;
  private readonly ended: number;
  private beganHere = Number.POSITIVE_INFINITY;
  /** Currents read by the simulator's controller: at, mA. */
  private readonly readings: { ms: number; counts: number[] }[];
  private reached: () => void = () => {};
  private readonly parser = mqtt.parser({ protocolVersion: 4 });
  private packets: Packet[] = [];

  /**
   * @param clashing modules beside the sound ones, at addresses that are used already
   * @param noisy modules whose answers noise disturbs, with the share of bits it turns over
   */
  constructor(kind: TestKind, clashing: Modules = new Map(), noisy = new Map<number, number>()) {
    this.bus = new ModbusBus(this.modules, clashing);
    for (const [address, share] of noisy) this.bus.noiseAt.set(address, share);
    this.faulty = new Set([...clashing.keys(), ...noisy.keys()]);
    this.scenario = scenarioOf(kind);
    const { given, told } = this.scenario.trace;
    [this.began, this.ended] = told.filter((line) => line[0] === 'P').map(msOf);
    this.readings = given
      .map((line) => line.split(' '))
      .filter((part) => part[0] === 'T' && part.length > 3)
      .map((part) => ({ ms: Number(part[1]), counts: part[3].split(',').map(Number) }));
    for (let address = 1; address <= LUMINAIRES; address++) this.modules.set(address, { counts: [0] });
    this.parser.on('packet', (packet: Packet) => this.packets.push(packet));
  }

  /** The result that the simulator's controller came to. */
  get expected(): Result {
    return this.scenario.records.map((text) => JSON.parse(text)).find(({ kind }) => kind === 'result');
  }

  /** Starts an unused controller and takes it to the night of its test. */
  async setUp(): Promise<void> {
    const { rig, scenario } = this;
    await this.bus.open();
    const path = await this.terminal.open();
    this.bus.heard = (bytes) => this.answer(bytes);
    this.terminal.onData((bytes) => {
      this.heard++;
      this.sent = Buffer.concat([this.sent, bytes]);
      for (; this.sent.length >= REQUEST_BYTES; this.sent = this.sent.subarray(REQUEST_BYTES))
        this.request(this.sent.subarray(0, REQUEST_BYTES));
    });
    const rows = Array.from({ length: LUMINAIRES }, (_, i) => [i + 1, 0, 1]).flat();
    const adc = {
      driver: 'modbus',
      port: 'Line',
      tx: 'T',
      rx: 'R',
      baud: 9600,
      parity: 'even',
      code: 4,
      rows,
    };
    const config = JSON.stringify({ ...JSON.parse(scenario.config), adc });
    await rig.setUp({ ...scenario, config }, ['rig', 'bus'], `bus.path="${path}";`, 'esp32bus');
    rig.listener.live = (event) => (event === 'U' ? this.waitsOn() : this.reached());
    await rig.play(scenario.trace.given.filter((line) => msOf(line) < this.began - AROUND_MS));
    const bitsAt = (ms: number) =>
      scenario.trace.given
        .filter((line) => line[0] === 'T' && msOf(line) < ms)
        .pop()
        ?.split(' ')[2];
    // Nothing happens in between, so the turns until then are left out, as in the trace.
    const ms = this.began - AROUND_MS;
    await rig.ask(`(bus.shut=${bitsAt(this.began)},bus.open=${bitsAt(this.ended)},rig.ms=${ms})`);
  }

  async close(): Promise<void> {
    await this.rig.close();
    await this.bus.close();
    this.terminal.close();
  }

  /** Makes the test. @returns its result, as it was published. */
  async test(): Promise<Result> {
    let ms = this.began - AROUND_MS;
    const limit = this.ended + LATE_MS;
    for (let result: Result | undefined; ms < limit; ) {
      ms += ms - this.beganHere > POINTS_MS ? LATER_MS : STEP_MS;
      this.setLamps(ms);
      await this.pass(ms);
      result = await this.published();
      if (result) return result;
    }
    throw new Error(`No result. ${this.rig.board.complaints.join(' ')}`);
  }

  private request(bytes: Buffer): void {
    this.asked++;
    this.answered = 0;
    if (this.late && this.asked >= this.late.number + 2) this.sendLate();
    this.bus.send(bytes);
    if (this.modules.get(bytes[0])?.lateMs === Number.POSITIVE_INFINITY) this.noMore();
  }

  private answer(bytes: Buffer): void {
    const [address] = this.bus.requests[this.asked - 1];
    if (this.slow.has(address)) this.late = { number: this.asked, bytes };
    else {
      this.answered += bytes.length;
      this.terminal.send(bytes);
    }
    if (this.slow.has(address) || this.faulty.has(address)) this.noMore();
  }

  /** Lets the driver's wait for an answer end: on the line nothing more comes. */
  private noMore(): void {
    this.rig.ask(`(bus.over(${this.asked},${this.answered}),0)`).catch(() => {});
  }

  /** The driver listens for longer to the module that it asked last. */
  private waitsOn(): void {
    if (this.late?.number === this.asked) this.sendLate();
    else this.noMore();
  }

  private sendLate(): void {
    if (this.late) this.terminal.send(this.late.bytes);
    this.late = undefined;
  }

  private setLamps(ms: number): void {
    const at = ms < this.beganHere ? this.began - 1 : this.began + ms - this.beganHere;
    const counts = this.readings.filter((reading) => reading.ms <= at).pop()?.counts ?? [];
    counts.forEach((count, i) => {
      const module = this.modules.get(i + 1);
      if (module) module.counts = [count];
    });
  }

  /** Lets the rig's time pass. */
  private async pass(untilMs: number): Promise<void> {
    const done = new Promise<void>((resolve) => {
      this.reached = resolve;
    });
    await this.rig.ask(`bus.run(${untilMs})`);
    let heard = -1;
    const watch = setInterval(() => {
      if (this.heard === heard) void this.giveUp();
      heard = this.heard;
    }, STANDSTILL_MS);
    await done.finally(() => clearInterval(watch));
  }

  /**
   * A busy machine may lose a byte between the interpreter and the pseudo-terminal. On a real line that is an
   * answer that does not come, and the driver's affair: its wait ends.
   */
  private async giveUp(): Promise<void> {
    this.sent = Buffer.alloc(0);
    const isDone = await this.rig.ask('(bus.isDone?1:(bus.over(bus.count,bus.got),0))');
    if (Number(isDone) === 1) this.reached();
  }

  /** Confirms what was published, as the host does, and looks for a result in it. */
  private async published(): Promise<Result | undefined> {
    let result: Result | undefined;
    for (const line of this.rig.listener.told.splice(0)) {
      if (line[0] === 'W') this.parser.parse(Buffer.from(line.split(' ')[2], 'hex'));
      else if (line.endsWith('1')) this.beganHere = msOf(line);
    }
    for (const packet of this.packets.splice(0)) {
      if (packet.cmd === 'pingreq') await this.deliver({ cmd: 'pingresp' });
      if (packet.cmd !== 'publish') continue;
      if (packet.qos === 1) await this.deliver({ cmd: 'puback', messageId: packet.messageId });
      if (!packet.topic.endsWith('/record')) continue;
      const record = JSON.parse(String(packet.payload));
      // The next record is not sent before.
      const ack = signed('ack', { v: 1, journal: record.journal, through: record.seq });
      await this.deliver({ cmd: 'publish', qos: 0, dup: false, retain: false, ...ack });
      if (record.kind === 'result') result = record;
    }
    return result;
  }

  private async deliver(packet: Packet): Promise<void> {
    for (const part of rigParts([`D 0 ${mqtt.generate(packet).toString('hex')}`], 0))
      await this.rig.ask(part);
  }
}
