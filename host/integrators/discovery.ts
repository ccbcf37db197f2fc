// Messages by which home and building platforms find the status topics by themselves: one retained message for each thing
// they are to show, as their published discovery format has it. What they show comes from the status topics alone.
import { statusTopic } from '../../firmware/contract/topics';
import type { Circuit, Luminaire, Site } from '../site/model';

/** What a platform says on its birth topic once it listens. */
const BORN = 'online';
/** Longest wait before everything is sent again, ms: several hosts shall not answer a birth all at once. */
const WAIT_MS = 10_000;

interface Thing {
  component: 'binary_sensor' | 'sensor';
  /** Last level but one of its topic; unique in the site. */
  id: string;
  device: Record<string, unknown>;
  config: Record<string, unknown>;
}

const nodeOf = (site: Site): string => `nightproof-${site.id}`;

/** A yes or no; anything else leaves the state unknown. */
function truth(field: string): string {
  return `{% if ${field} == true %}ON{% elif ${field} == false %}OFF{% else %}None{% endif %}`;
}

function hostThing(site: Site): Thing {
  return {
    ...{ component: 'binary_sensor', id: 'host' },
    device: { identifiers: [nodeOf(site)], name: site.name, model: 'Host of the emergency lighting' },
    config: {
      ...{ name: 'Host', device_class: 'connectivity', entity_category: 'diagnostic' },
      ...{ state_topic: statusTopic(site.id, 'host', ''), value_template: truth('value_json.online') },
    },
  };
}

/** A device of its own in the platform, behind the host. */
function deviceOf(site: Site, id: string, more: Record<string, string>): Record<string, unknown> {
  return { identifiers: [`${nodeOf(site)}-${id}`], via_device: nodeOf(site), ...more };
}

function circuitThings(site: Site, { id, name }: Circuit): Thing[] {
  const own = `circuit-${id}`;
  const device = deviceOf(site, own, { name, model: 'Circuit' });
  const topic = statusTopic(site.id, 'circuit', id);
  const things: [Thing['component'], string, Record<string, unknown>][] = [
    [
      'binary_sensor',
      'problem',
      {
        ...{ name: 'Problem', device_class: 'problem', json_attributes_topic: topic },
        value_template:
          "{% if value_json.troubles or value_json.contact == 'silent' %}ON" +
          "{% elif value_json.contact == 'never heard' %}None{% else %}OFF{% endif %}",
      },
    ],
    [
      'binary_sensor',
      'supply',
      { name: 'Supply', device_class: 'power', value_template: truth('value_json.supply.beforeRelay') },
    ],
    ...(['brief', 'full'] as const).map((kind): [Thing['component'], string, Record<string, unknown>] => [
      'sensor',
      `next-${kind}`,
      {
        ...{
          name: kind === 'brief' ? 'Next function test' : 'Next duration test',
          device_class: 'timestamp',
        },
        value_template: `{% if value_json.nextTestAt.${kind} %}{{ value_json.nextTestAt.${kind} }}{% else %}None{% endif %}`,
      },
    ]),
  ];
  return things.map(([component, what, config]) => ({
    ...{ component, id: `${own}-${what}`, device },
    config: { ...config, state_topic: topic },
  }));
}

function luminaireThing(site: Site, { id, place, area, mode }: Luminaire): Thing {
  const topic = statusTopic(site.id, 'luminaire', id);
  const areaName = site.areas.find((one) => one.id === area)?.name ?? '';
  return {
    ...{ component: 'binary_sensor', id: `luminaire-${id}-problem` },
    device: deviceOf(site, `luminaire-${id}`, {
      name: `${id} ${place}`,
      model: mode,
      suggested_area: areaName,
    }),
    config: {
      ...{ name: 'Problem', device_class: 'problem', state_topic: topic, json_attributes_topic: topic },
      // Only a pass is good news: what is not proven is unknown.
      value_template:
        "{% if value_json.verdict == 'fail' %}ON{% elif value_json.verdict == 'pass' %}OFF{% else %}None{% endif %}",
    },
  };
}

function messageOf(site: Site, prefix: string, { component, id, device, config }: Thing): [string, string] {
  const isHost = id === 'host';
  const message = {
    ...{ ...config, unique_id: `${nodeOf(site)}-${id}`, qos: 1, device },
    ...(!isHost && {
      availability: [
        {
          topic: statusTopic(site.id, 'host', ''),
          value_template: '{% if value_json.online %}online{% else %}offline{% endif %}',
        },
      ],
    }),
    origin: { name: 'Nightproof' },
  };
  return [`${prefix}/${component}/${nodeOf(site)}/${id}/config`, JSON.stringify(message)];
}

/** Every discovery message of a site by its topic. */
export function discoveryMessages(site: Site, prefix: string): Map<string, string> {
  const things = [
    hostThing(site),
    ...site.circuits.flatMap((circuit) => [
      ...circuitThings(site, circuit),
      ...circuit.luminaires.map((luminaire) => luminaireThing(site, luminaire)),
    ]),
  ];
  return new Map(things.map((thing) => messageOf(site, prefix, thing)));
}

/**
 * What to do when a platform says something on its birth topic: after a random wait `send` is called once.
 * @param waitMs longest wait
 */
export function onBirth(send: () => void, waitMs = WAIT_MS): { take(text: string): void; stop(): void } {
  let timer: NodeJS.Timeout | undefined;
  return {
    take(text) {
      if (text !== BORN || timer) return;
      timer = setTimeout(() => {
        timer = undefined;
        send();
      }, Math.random() * waitMs);
    },
    stop: () => clearTimeout(timer),
  };
}
