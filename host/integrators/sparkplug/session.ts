// What a Sparkplug node says in one connection: birth, then what changes, numbered from 0 to 255 and on from 0. No
// network: it only makes messages (Eclipse Sparkplug 3.0.0, 2022, chapters 4 to 6).
import { isHeard } from '../../api/phases';
import type { Site } from '../../site/model';
import type { BuildingStatus } from '../schema';
import type { CircuitMessages } from '../status';
import { metricsOf, type SiteMetrics, type Told } from './metrics';
import { encode, type Metric, type Value } from './payload';

export const REBIRTH = 'Node Control/Rebirth';
const BD_SEQ = 'bdSeq';
const BD_SEQ_ALIAS = 1;

type Verb = 'NBIRTH' | 'NDATA' | 'NDEATH' | 'DBIRTH' | 'DDATA' | 'DDEATH' | 'NCMD';

export interface SessionOptions {
  site: Site;
  group: string;
  /** UTC, ms. */
  nowMs(): number;
  /** Only called between `birth` and `end`. */
  send(topic: string, payload: Buffer): void;
}

/** Values that were told last, by alias. */
type Known = Map<number, Value>;

export class Session {
  private readonly metrics: SiteMetrics;
  private readonly known: Known = new Map();
  private readonly circuits = new Map<string, CircuitMessages>();
  /** Devices that were born and have not died since. */
  private readonly live = new Set<string>();
  private building: BuildingStatus | undefined;
  private isBorn = false;
  private seq = 0;

  constructor(private readonly o: SessionOptions) {
    this.metrics = metricsOf(o.site, BD_SEQ_ALIAS + 1);
  }

  topic(verb: Verb, device = ''): string {
    const { group, site } = this.o;
    return `spBv1.0/${group}/${verb}/${site.id}${device === '' ? '' : `/${device}`}`;
  }

  /** What the broker says once the node is lost, and the node itself before it goes. */
  death(bdSeq: number): { topic: string; payload: Buffer } {
    const metrics: Metric[] = [{ name: BD_SEQ, type: 'Int64', value: bdSeq }];
    return { topic: this.topic('NDEATH'), payload: encode({ timestamp: this.o.nowMs(), metrics }) };
  }

  /** Tells everything. @param bdSeq as in the death message of this connection */
  birth(bdSeq: number): void {
    this.isBorn = true;
    this.seq = 0;
    this.live.clear();
    const own: Metric[] = [
      { name: BD_SEQ, alias: BD_SEQ_ALIAS, type: 'Int64', value: bdSeq },
      { name: REBIRTH, type: 'Boolean', value: false },
    ];
    this.say('NBIRTH', '', [...own, ...this.whole(this.metrics.node, this.building)]);
    for (const messages of this.circuits.values()) this.tell(messages);
  }

  /** The connection is gone, or about to go. */
  end(): void {
    this.isBorn = false;
  }

  take(messages: CircuitMessages): void {
    this.circuits.set(messages.circuit.circuit, messages);
    if (this.isBorn) this.tell(messages);
  }

  all(building: BuildingStatus): void {
    this.building = building;
    if (!this.isBorn) return;
    const changed = this.changes(this.metrics.node, building);
    if (changed.length > 0) this.say('NDATA', '', changed);
  }

  private tell(messages: CircuitMessages): void {
    const id = messages.circuit.circuit;
    const metrics = this.metrics.devices.get(id) ?? [];
    if (!isHeard(messages.circuit)) {
      if (this.live.delete(id)) this.say('DDEATH', id, []);
      return;
    }
    if (!this.live.has(id)) {
      this.live.add(id);
      this.say('DBIRTH', id, this.whole(metrics, messages));
      return;
    }
    const changed = this.changes(metrics, messages);
    if (changed.length > 0) this.say('DDATA', id, changed);
  }

  private whole<T>(metrics: Told<T>[], from: T | undefined): Metric[] {
    return metrics.map(({ name, alias, type, of }) => {
      const value = from === undefined ? null : of(from);
      this.known.set(alias, value);
      return { name, alias, type, value };
    });
  }

  private changes<T>(metrics: Told<T>[], from: T): Metric[] {
    return metrics.flatMap(({ alias, type, of }) => {
      const value = of(from);
      if (this.known.get(alias) === value) return [];
      this.known.set(alias, value);
      return [{ alias, type, value }];
    });
  }

  private say(verb: Verb, device: string, metrics: Metric[]): void {
    const { seq } = this;
    this.seq = (seq + 1) % 256;
    this.o.send(this.topic(verb, device), encode({ timestamp: this.o.nowMs(), metrics, seq }));
  }
}
