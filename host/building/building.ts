// What the house looks like now: a read model of site, plan and messages. It reads no clock and does no
// I/O; whoever owns it passes the time in. Rebuilt from the log book at every start.
import { OrderKind, Phase, Reason, StateBit, TestKind } from '../../firmware/contract/codes';
import type {
  AnyRecord,
  LiveMessage,
  OrderRecord,
  ResultRecord,
  StateMessage,
} from '../../firmware/contract/messages';
import type {
  BuildingView,
  Contact,
  ControllerStatus,
  LampStatus,
  LiveReading,
  RiskNotice,
  StatusView,
  TonightTest,
} from '../api/views';
import type { Plan } from '../planner/plan/plan';
import { profileFor } from '../profiles/profile';
import { lampResult, resultAt, resultVerdict } from '../records/result';
import type { Circuit, Site } from '../site/model';
import { kindWord, phaseWord, TEST_KINDS, testKindWord, verdictWord } from '../words/codes';
import { untested, withResult } from './lamps';
import { riskNotice } from './riskNotice';
import { controllerSentence } from './sentence';
import { type TestEnd, tonight } from './tonight';

export interface BuildingOptions {
  site: Site;
  /** The plan in force and its revision; undefined while there is none. */
  plan?: () => { plan: Plan; revision: number } | undefined;
  /** Length of a circuit's test of that kind, s. */
  testSec(circuit: Circuit, kind: TestKind): number;
  /** Recharge after a test of that kind, s. */
  rechargeSec(kind: TestKind): number;
  /** Days after a full test by which the next one is due. */
  fullDays: number;
  /** Interval at which controllers report when nothing happens, s. */
  heartbeatSec: number;
  /** Further delay that is no sign of trouble, s: the network's, many times over when time runs fast. */
  slackSec?: () => number;
  simulated?: boolean;
  /** The window in which somebody is at work on a circuit, the last one entered. */
  attended?: (circuit: string) => { from: number; to: number; who: string } | undefined;
  /** The circuit with the lamp currents in force. */
  inForce?: (circuit: Circuit) => Circuit;
}

export interface Building {
  view(): BuildingView;
  /** A signed state, heard at this UTC second. */
  state(circuit: string, state: StateMessage, heardAt: number): void;
  /** The broker's hint that a controller's connection is gone or there. */
  presence(circuit: string, online: boolean): void;
  live(circuit: string, live: LiveMessage): LiveReading | undefined;
  /** A record that is in the log book, in the order of its entries. */
  record(circuit: string, record: AnyRecord, at: number): void;
  controller(circuit: string, now: number): ControllerStatus;
  status(now: number, speed: number): StatusView;
  /** Where a luminaire is: its circuit and its place there. */
  find(luminaire: string): { circuit: Circuit; index: number } | undefined;
  /** Ids of a circuit's luminaires in sensor order. */
  luminaires(circuit: string): string[];
}

/** Missed heartbeats after which a controller is late, and silent (common practice, no source). */
const LATE_AFTER = 2.5;
const SILENT_AFTER = 10;

interface CircuitState {
  circuit: Circuit;
  state: StateMessage | undefined;
  heardAt: number;
  online: boolean;
  live: LiveReading | null;
  lamps: LampStatus[];
  /** The controller has brought a long hold to mind, and it still lasts. */
  isReminded: boolean;
  /** Hold by order, as far as it is known. */
  held: { who: string; until: number } | null;
  /** Seconds by which the running test was lengthened. */
  extraSec: number;
  /** UTC second of the last full test that was not void, 0 for none. A limited one never counts. */
  fullAt: number;
  /** Oldest first; `plan` is the revision the test belongs to. */
  ends: (TestEnd & { plan: number })[];
}

const DAY_SEC = 86400;
/** Ends of tests kept per circuit: enough for two years with every retry used. */
const ENDS_MAX = 150;

function isTesting(state: StateMessage | undefined): boolean {
  return state !== undefined && state.phase >= Phase.Opening && state.phase <= Phase.Restoring;
}

class BuildingModel implements Building {
  private readonly desks = new Map<string, CircuitState>();
  private readonly places = new Map<string, { circuit: Circuit; index: number }>();

  constructor(private readonly o: BuildingOptions) {
    for (const circuit of o.site.circuits) {
      this.desks.set(circuit.id, {
        circuit,
        state: undefined,
        heardAt: 0,
        online: true,
        live: null,
        lamps: circuit.luminaires.map((luminaire) => untested(luminaire.id)),
        isReminded: false,
        held: null,
        extraSec: 0,
        fullAt: 0,
        ends: [],
      });
      circuit.luminaires.forEach((luminaire, index) => {
        this.places.set(luminaire.id, { circuit, index });
      });
    }
  }

  view(): BuildingView {
    const { id, name, timeZone, profile, responsible, floors, areas } = this.o.site;
    const floorPercent = profileFor(this.o.site).floorPercent.value;
    const circuits = this.o.site.circuits.map((circuit) => this.inForce(circuit));
    const simulated = this.o.simulated === true;
    return { id, name, timeZone, profile, responsible, floorPercent, simulated, floors, areas, circuits };
  }

  state(circuit: string, state: StateMessage, heardAt: number): void {
    const desk = this.desks.get(circuit);
    if (!desk) return;
    desk.state = state;
    if (state.phase !== Phase.Held) desk.isReminded = false;
    desk.heardAt = heardAt;
    desk.online = true;
    if (!isTesting(state) || desk.live?.test !== state.test) desk.live = null;
  }

  presence(circuit: string, online: boolean): void {
    const desk = this.desks.get(circuit);
    if (desk) desk.online = online;
  }

  live(circuit: string, live: LiveMessage): LiveReading | undefined {
    const desk = this.desks.get(circuit);
    if (!desk || live.ma.length !== desk.lamps.length) return undefined;
    const { test, t, ma } = live;
    const kind = testKindWord(live.type);
    desk.live = { circuit, test, kind, t, ma, verdict: live.verdict.map(verdictWord) };
    return desk.live;
  }

  record(circuit: string, record: AnyRecord, at: number): void {
    const desk = this.desks.get(circuit);
    if (!desk) return;
    if (record.kind === 'result') this.result(desk, record, resultAt(record, at));
    if (record.kind === 'reminder') desk.isReminded = true;
    if (record.kind === 'order' && record.reason === Reason.None) this.order(desk, record, at);
  }

  controller(circuit: string, now: number): ControllerStatus {
    const desk = this.desks.get(circuit);
    if (!desk) throw new Error(`The site has no circuit ${circuit}.`);
    const state = desk.state;
    const contact = this.contact(desk, now);
    const bits = state?.bits ?? 0;
    const testing = isTesting(state) && state !== undefined;
    const attended = this.o.attended?.(circuit);
    const fullDueAt = desk.fullAt > 0 ? desk.fullAt + this.o.fullDays * DAY_SEC : 0;
    return {
      circuit,
      contact,
      heardAt: desk.heardAt,
      phase: phaseWord(state?.phase ?? Phase.Starting),
      sentence: controllerSentence(state, contact, now - desk.heardAt),
      supplyBefore: (bits & StateBit.SupplyBefore) !== 0,
      supplyAfter: (bits & StateBit.SupplyAfter) !== 0,
      relayOpen: (bits & StateBit.RelayOpen) !== 0,
      redLamp: (bits & StateBit.RedLamp) !== 0,
      occupied: (bits & StateBit.Occupied) !== 0,
      kind: testing ? kindWord(state.type) : '',
      since: state?.since ?? 0,
      length: testing ? this.o.testSec(desk.circuit, state.type) + desk.extraSec : 0,
      charged: state?.charged ?? 0,
      overdue: state?.overdue ?? 0,
      held: state?.phase === Phase.Held && state.reason === Reason.OrderedHold ? desk.held : null,
      heldLong: state?.phase === Phase.Held && desk.isReminded,
      attended: attended && attended.to > now ? attended : null,
      fullAt: desk.fullAt,
      fullDueAt,
      fullOverdue: fullDueAt > 0 && now > fullDueAt,
      lamps: desk.lamps,
      live: desk.live,
    };
  }

  status(now: number, speed: number): StatusView {
    const controllers = [...this.desks.keys()].map((circuit) => this.controller(circuit, now));
    const counts = { pass: 0, fail: 0, void: 0, untested: 0 };
    for (const { lamps } of controllers) {
      for (const { verdict } of lamps) counts[verdict === 'open' ? 'untested' : verdict]++;
    }
    const tonight = this.tonight(now);
    return { now, speed, controllers, tonight, notice: this.notice(controllers, tonight, now), counts };
  }

  find(luminaire: string): { circuit: Circuit; index: number } | undefined {
    const place = this.places.get(luminaire);
    return place && { ...place, circuit: this.inForce(place.circuit) };
  }

  luminaires(circuit: string): string[] {
    return this.desks.get(circuit)?.circuit.luminaires.map((luminaire) => luminaire.id) ?? [];
  }

  private inForce(circuit: Circuit): Circuit {
    return this.o.inForce?.(circuit) ?? circuit;
  }

  /** What only orders tell: how long a test was made, and who holds until when. */
  private order(desk: CircuitState, record: OrderRecord, at: number): void {
    if (record.do === OrderKind.Extend) desk.extraSec += record.arg;
    if (record.do === OrderKind.Hold) desk.held = { who: record.who, until: at + record.arg };
    if (record.do === OrderKind.Release) desk.held = null;
  }

  private result(desk: CircuitState, record: ResultRecord, at: number): void {
    desk.live = null;
    desk.extraSec = 0;
    desk.lamps = desk.lamps.map((known, i) => {
      const lamp = lampResult(record, i);
      return lamp ? withResult(known, record, lamp, at) : known;
    });
    const verdict = resultVerdict(record);
    if (record.type === TestKind.Full && verdict !== 'void') desk.fullAt = Math.max(desk.fullAt, at);
    if (record.test === 0) return;
    desk.ends.push({ test: record.test, plan: record.plan, at, verdict });
    if (desk.ends.length > ENDS_MAX) desk.ends.shift();
  }

  private contact(desk: CircuitState, now: number): Contact {
    if (desk.heardAt === 0) return 'never heard';
    const age = now - desk.heardAt - (this.o.slackSec?.() ?? 0);
    if (age > SILENT_AFTER * this.o.heartbeatSec) return 'silent';
    return desk.online && age <= LATE_AFTER * this.o.heartbeatSec ? 'reporting' : 'late';
  }

  private notice(controllers: ControllerStatus[], tonight: TonightTest[], now: number): RiskNotice {
    return riskNotice({
      ...{ site: this.o.site, controllers, tonight, now },
      lengthsOf: (id, word) => {
        const { circuit } = this.desks.get(id)!;
        const kind = TEST_KINDS[word];
        return { testSec: this.o.testSec(circuit, kind), rechargeSec: this.o.rechargeSec(kind) };
      },
    });
  }

  private tonight(now: number): StatusView['tonight'] {
    const inForce = this.o.plan?.();
    if (!inForce) return [];
    const inputs = inForce.plan.circuits.flatMap((plan) => {
      const desk = this.desks.get(plan.circuit);
      if (!desk) return [];
      const { state } = desk;
      const running = state && isTesting(state) && state.plan >= inForce.revision ? state.test : 0;
      return [{ plan, ends: desk.ends.filter((end) => end.plan >= inForce.revision), running }];
    });
    return tonight(inputs, now);
  }
}

/** The read model of one site; see `Building`. */
export function createBuilding(options: BuildingOptions): Building {
  return new BuildingModel(options);
}
