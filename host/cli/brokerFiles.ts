// `broker-files`: who may log in and what each may do, as files for Mosquitto.
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { brokerFiles, type ClientTls } from '../broker/files';
import { HOST_CLIENT } from '../broker/parties';
import { presentKeys } from '../keys';
import type { Site } from '../site/model';
import { counted } from '../words/counted';
import { Mistake } from './arguments';

export interface BrokerFilesOptions {
  site: Site;
  siteFile: string;
  db: string;
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

/** @returns the exit code. @throws Error with one sentence for a mistake. */
export async function brokerFilesCommand(o: BrokerFilesOptions): Promise<number> {
  const folder = resolve(o.out);
  const { texts, users } = brokerFiles({
    ...{ site: o.site, keys: presentKeys(o.db), readers: o.reader, platforms: o.platform },
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
      'With Mosquitto:',
      `  1. Give the folder to the user Mosquitto runs as: chown -R mosquitto ${folder}`,
      `  2. mosquitto -c ${join(folder, 'nightproof.conf')}`,
      `  3. nightproof serve ${o.siteFile} --broker mqtt://${HOST_CLIENT}@ADDRESS:${o.brokerPort} --db ${o.db}`,
      'Controllers that were commissioned before there were passwords cannot log in there: commission them again first.',
      'Run this again whenever a circuit is added.',
      '',
    ].join('\n'),
  );
  return 0;
}
