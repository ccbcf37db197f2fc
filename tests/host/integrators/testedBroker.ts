// The built-in broker, with the status of a tested house on it.
import mqtt from 'mqtt';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { type Broker, startBroker } from '../../../host/broker/broker';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import { circuitMessages } from '../../../host/integrators/status';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';
import { newTestedHouse } from './house';
import type { Stage } from './told';

/** A result's row of a lamp that was not lit. */
export const DEAD = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];

export interface TestedBroker {
  broker: Broker;
  /** Tells a brief test of circuit a at a UTC second, with a row for each lamp. */
  test(at: number, ...lamps: number[][]): Promise<void>;
}

export async function testedBroker(stage: Stage): Promise<TestedBroker> {
  const controllers = HOUSE.circuits.map(({ id }) => id);
  const broker = await startBroker({ port: 0, site: 'demo', controllers, keys: KEYS, isOpen: false });
  stage.ends.push(() => broker.close());
  const { user: username, password } = loginOf(KEYS, HOST_CLIENT);
  const host = await mqtt.connectAsync(broker.url, {
    ...{ clientId: `${HOST_CLIENT}-1`, username, password, protocolVersion: 4 },
  });
  stage.ends.push(() => host.endAsync(true));
  const house = await newTestedHouse();
  return {
    broker,
    async test(at, ...lamps) {
      await house.result('a', TestKind.Brief, at, ...lamps);
      for (const one of circuitMessages(HOUSE, house.house, 'a', at).luminaires)
        await host.publishAsync(`nightproof/demo/status/luminaire/${one.luminaire}`, JSON.stringify(one), {
          ...{ qos: 1, retain: true },
        });
    },
  };
}
