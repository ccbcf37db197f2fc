// `broker-files`: who may log in and what each may do, as files for Mosquitto.
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { hostUserOf } from '../broker/address';
import { brokerFiles, type ClientTls } from '../broker/files';
import { HOST_CLIENT } from '../broker/parties';
import { presentKeys } from '../keys';
import { expectDistinct } from '../serve/siteFiles';
import type { Site } from '../site/model';
import { counted } from '../words/counted';
import { Mistake } from './arguments';

export interface BrokerFilesOptions {
  /** With their site files and log books. */
  buildings: { site: Site; file: string; db: string }[];
  /** Whether the host serves several from one process, or from several beside each other. */
  isShared: boolean;
  /** What `serve` is called with. */
  restart: string;
  out: string;
  reader: string[];
  platform: string[];
  /** First level of the topics by which platforms find everything. */
  discovery: string;
  brokerHost: string;
  brokerPort: number;
  /** Folder with the certificates of a second listener. */
  tls?: string;
  tlsPort: number;
}

/** @throws Mistake if one of the files is not there */
function tlsOf(folder: string, port: number): ClientTls {
  const [authority, certificate, key] = ['ca.pem', 'broker.pem', 'broker.key'].map((name) => {
    const file = join(resolve(folder), name);
    if (existsSync(file)) return file;
    throw new Mistake(
      `--tls ${folder}: there is no ${name}; docs/operating.md says how the three files are made.`,
    );
  });
  return { port, authority, certificate, key };
}

function write(folder: string, texts: Record<string, string>): void {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    for (const [name, text] of Object.entries(texts))
      writeFileSync(join(folder, name), text, { mode: 0o600 });
  } catch (error) {
    throw new Mistake(
      `--out ${folder}: the files cannot be written (${(error as NodeJS.ErrnoException).code}); name another folder.`,
    );
  }
}

/** What is different with several buildings. */
function sharedLines(buildings: BrokerFilesOptions['buildings']): string[] {
  const [{ site, db }] = buildings;
  return [
    `There a reader or platform without a building before its name is one of ${site.id} only.`,
    `A host that serves one of these buildings by itself logs in as ${hostUserOf(site.id)}, for instance: --broker mqtt://${hostUserOf(site.id)}@ADDRESS --db ${db}.`,
  ];
}

/** @returns the exit code. @throws Error with one sentence for a mistake. */
export async function brokerFilesCommand(o: BrokerFilesOptions): Promise<number> {
  const folder = resolve(o.out);
  expectDistinct(o.buildings.map(({ site, file }) => ({ id: site.id, file })));
  const buildings = o.buildings.map(({ site, db }) => ({ site, keys: presentKeys(db) }));
  const { texts, users } = brokerFiles({
    ...{ buildings, isShared: o.isShared, readers: o.reader, platforms: o.platform },
    ...(o.platform.length > 0 && { discovery: o.discovery }),
    ...{ host: o.brokerHost, port: o.brokerPort, folder },
    ...(o.tls !== undefined && { tls: tlsOf(o.tls, o.tlsPort) }),
  });
  write(folder, texts);
  process.stdout.write(
    [
      `Files for Mosquitto in ${folder}: ${counted(users, 'user')}, each with a password derived from the site secret.`,
      ...(o.reader.length + o.platform.length > 0
        ? [
            `The passwords of readers and platforms are in ${join(folder, 'readers.txt')}; delete it when you have them.`,
          ]
        : []),
      'The built-in broker of `serve` knows these users too: without Mosquitto, nothing more is needed.',
      ...(o.isShared ? sharedLines(o.buildings) : []),
      'With Mosquitto:',
      `  1. Give the folder to the user Mosquitto runs as: chown -R mosquitto ${folder}`,
      `  2. mosquitto -c ${join(folder, 'nightproof.conf')}`,
      `  3. nightproof serve ${o.restart} --broker mqtt://${HOST_CLIENT}@ADDRESS:${o.brokerPort}`,
      'Controllers that were commissioned before there were passwords cannot log in there: commission them again first.',
      'Run this again whenever a circuit is added.',
      '',
    ].join('\n'),
  );
  return 0;
}
