// Keeps the page current: by the event stream while it works, by polling while it does not.
import type { ControllerStatus, LiveReading, LogEntryView } from '../../api/views';
import { here } from './base';
import { askBuilding, askStatus, whenSignedOut } from './host';
import { withClock, withController, withLive, withStatus } from './pageState';
import { phoneSec } from './phoneClock';
import { askSession, isAdmitted, takeSession } from './session';
import type { PageStore } from './store';

/** A stream that is silent this long is taken for dead: half-open links look connected. */
const SILENCE_MS = 15_000;
const REOPEN_MS = 5_000;
/** A burst of log book entries triggers one fetch of the status, not one each. */
const REFRESH_MS = 2_000;
/** Tonight's list is not pushed; it is fetched at least this often. */
const ANEW_MS = 30_000;
/** Entries after which other duties may be due. */
const OF_DUTIES: ReadonlySet<string> = new Set(['inspection', 'withdrawn', 'listed']);

/** Fills the store and keeps it current until the page is left. */
export class HostLink {
  private stream: EventSource | null = null;
  private refresh: ReturnType<typeof setTimeout> | null = null;
  private isBuildingOld = false;
  private asking = false;
  private askedMs = 0;

  /** @param onBuilding called when the host has answered, with the id of its building */
  constructor(
    private readonly store: PageStore,
    private readonly onBuilding: (id: string) => void,
  ) {}

  start(): void {
    whenSignedOut(() => void this.askAgain());
    void this.fetchAll();
    setInterval(() => this.watch(), REOPEN_MS);
  }

  /** The host no longer knows who asks. */
  private async askAgain(): Promise<void> {
    try {
      takeSession(this.store, await askSession(), true);
      if (!this.isAdmitted()) this.leave();
    } catch {
      // The host is not answering, which is found out elsewhere.
    }
  }

  private isAdmitted(): boolean {
    return isAdmitted(this.store.state.session);
  }

  private leave(): void {
    this.stream?.close();
    this.stream = null;
  }

  private open(): void {
    this.stream?.close();
    const stream = new EventSource(here('/api/events'));
    this.stream = stream;
    stream.onopen = () => {
      // It may have been away to take over another site.
      this.isBuildingOld = true;
      this.heard();
      this.store.change((s) => ({ ...s, dutiesHeard: s.dutiesHeard + 1 }));
      this.refreshSoon();
      void this.fetchAll();
    };
    stream.onerror = () => this.store.change((s) => ({ ...s, linkUp: false }));
    this.on('status', (data: ControllerStatus) => this.store.change((s) => withController(s, data)));
    this.on('live', (data: LiveReading) => this.store.change((s) => withLive(s, data)));
    this.on('clock', (data: { now: number; speed: number }) =>
      this.store.change((s) => withClock(s, data, performance.now())),
    );
    this.on('entry', (entry: LogEntryView) => {
      // Accepted currents are part of the building, so fetch it again.
      if (entry.kind === 'baseline') this.isBuildingOld = true;
      if (OF_DUTIES.has(entry.kind)) this.store.change((s) => ({ ...s, dutiesHeard: s.dutiesHeard + 1 }));
      this.refreshSoon();
    });
  }

  private on<T>(name: string, take: (data: T) => void): void {
    this.stream?.addEventListener(name, (event) => {
      this.heard();
      take(JSON.parse((event as MessageEvent<string>).data) as T);
    });
  }

  private heard(): void {
    this.store.change((s) => ({ ...s, linkUp: true, heardMs: performance.now() }));
  }

  private refreshSoon(): void {
    if (this.refresh !== null) return;
    this.refresh = setTimeout(() => {
      this.refresh = null;
      this.store.change((s) => ({ ...s, entriesHeard: s.entriesHeard + 1 }));
      void this.fetchAll();
    }, REFRESH_MS);
  }

  private async fetchAll(): Promise<void> {
    if (this.asking) return;
    this.asking = true;
    this.askedMs = performance.now();
    try {
      if (!this.isAdmitted()) takeSession(this.store, await askSession());
      if (!this.isAdmitted()) return this.leave();
      if (this.stream === null) this.open();
      const known = this.isBuildingOld ? null : this.store.state.building;
      this.isBuildingOld = false;
      const building = known ?? (await askBuilding());
      const status = await askStatus();
      this.store.change((s) => ({
        ...withStatus({ ...s, building }, status, performance.now()),
        heardMs: performance.now(),
        phoneOff: status.now - phoneSec(),
      }));
      this.onBuilding(building.id);
    } catch (error) {
      const problem = error instanceof Error ? error.message : String(error);
      this.store.change((s) => (s.status ? s : { ...s, problem }));
    } finally {
      this.asking = false;
    }
  }

  private watch(): void {
    const { linkUp, heardMs, status } = this.store.state;
    const now = performance.now();
    if (!this.isAdmitted() || this.stream === null) {
      this.store.change((s) => ({ ...s, linkUp: s.session !== null || s.linkUp }));
      return void this.fetchAll();
    }
    if (linkUp && now - heardMs < SILENCE_MS) {
      if (!status || now - this.askedMs > ANEW_MS) void this.fetchAll();
      return;
    }
    this.store.change((s) => ({ ...s, linkUp: false }));
    this.open();
    void this.fetchAll();
  }
}
