// Simulated controllers that know their settings and plan but have never had a log book: commissioned over
// the simulated wire, then cut off for months. They still hold all their records.
import { WIRE_VERSION } from '../../../firmware/contract/limits';
import type { StateMessage } from '../../../firmware/contract/messages';
import { type DownKind, topicOf } from '../../../firmware/contract/topics';
import { linkClosed } from '../../../firmware/controller';
import { createDesired } from '../../../host/house/desired/desired';
import { type KeyRing, signMessage } from '../../../host/keys';
import { profileOf } from '../../../host/profiles/profile';
import { fleetSpecOf, startUtcMs } from '../../../host/rehearse/estate';
import type { Site } from '../../../host/site/model';
import { Fleet } from '../../../simulator/fleet';
import { SimulatedWire } from '../../../simulator/network';

const DAY_MS = 86_400_000;

/** Gives the controllers time, settings and plan, and never acknowledges a record. */
function commissioned(site: Site, keys: KeyRing, days: number): Fleet {
  const store = new Map<string, string>();
  const memory = {
    recall: (name: string) => store.get(name) ?? '',
    remember: (name: string, text: string) => void store.set(name, text),
  };
  const desired = createDesired({ site, memory });
  desired.refresh(startUtcMs(site) / 1000);
  const plan = desired.plan()!.plan;
  const link = { keepAliveSec: 0, heartbeatSec: 3600, liveMs: 0 };
  const profile = profileOf(site.profile);
  const spec = fleetSpecOf({ site, profile, plan, keys, seed: 5, days, link });
  const fleet = new Fleet(spec, answer, []);
  function answer(topic: string, payload: string): void {
    const [, siteId, circuit, kind] = topic.split('/');
    if (kind !== 'state') return;
    const address = `${siteId}/${circuit}`;
    const state = JSON.parse(payload) as StateMessage;
    const send = (down: DownKind, message: object): void =>
      fleet.publish(topicOf(address, down), signMessage(keys, address, down, message));
    send('time', { v: WIRE_VERSION, boot: state.boot, up: state.up, utc: fleet.utcMs() });
    desired.outbid(circuit, state);
    const { settings, plan: slots } = desired.of(circuit);
    if (settings && settings.revision !== state.settings) send('settings', settings);
    if (slots && slots.revision !== state.plan) send('plan', slots);
  }
  return fleet;
}

/** A fleet whose controllers were commissioned and then cut off for `days` days of tests. */
export function strandedFleet(site: Site, keys: KeyRing, days: number): Fleet {
  const fleet = commissioned(site, keys, days);
  fleet.run(DAY_MS);
  for (const node of fleet.nodes) {
    if (!(node.net instanceof SimulatedWire) || !node.controller) continue;
    if (node.net.setReachable(false)) linkClosed(node.controller);
    fleet.schedule(node);
  }
  fleet.run(days * DAY_MS);
  return fleet;
}
