// The flow tool itself, without its editor: runs the flow that its parent sends, as if somebody had imported, filled in and
// deployed it. Its folder is the first argument.
import { type EventEmitter, once } from 'node:events';
import { createRequire } from 'node:module';
import { dirname } from 'node:path';

/** What we use of the flow tool's runtime, which has no types. */
interface Runtime {
  init(settings: object): void;
  start(): Promise<void>;
  flows: { setFlows(change: { flows: { flows: object[] }; deploymentType: string }): Promise<unknown> };
}

const require = createRequire(import.meta.url);
const util = require('@node-red/util') as Pick<Runtime, 'init'> & { events: EventEmitter };
const runtime = require('@node-red/runtime') as Runtime;
const settings = {
  ...{
    userDir: process.argv[2],
    flowFile: 'flows.json',
    coreNodesDir: dirname(require.resolve('@node-red/nodes')),
  },
  ...{ httpAdminRoot: false, httpNodeRoot: false, uiPort: 0, credentialSecret: 'kept in memory only' },
  ...{
    telemetry: { enabled: false },
    externalModules: { autoInstall: false, palette: { allowInstall: false } },
  },
  logging: { console: { level: 'warn' } },
};
util.init(settings);
runtime.init(settings);
// Its own file is loaded after it has started, and takes the passwords from whatever is deployed before.
const loaded = once(util.events, 'flows:started');
await runtime.start();
await loaded;
process.on('disconnect', () => process.exit());
process.on('message', async (flows: object[]) => {
  await runtime.flows.setFlows({ flows: { flows }, deploymentType: 'full' });
});
process.send?.('ready');
