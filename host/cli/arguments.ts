// What the commands accept: checks of their arguments, and defaults.
import { createRequire } from 'node:module';
import { Argument, InvalidArgumentError, Option } from 'commander';
import type { Site } from '../site/model';
import { Mistake } from './mistake';

/** The invented building used when no site file is named. */
export const DEMO_SITE = createRequire(import.meta.url).resolve('#root/docs/examples/museum-of-tides.yaml');
export const DEFAULT_DB = 'nightproof.db';
/** How this program was called, for the commands it names: in a clone it is not on the path. */
export const PROGRAM =
  process.env.npm_lifecycle_event === 'nightproof' ? 'npm run -s nightproof --' : 'nightproof';

export { Mistake };

export function whole(name: string, least: number, most: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (!/^\d+$/.test(text) || value < least || value > most)
      throw new InvalidArgumentError(`${name} must be a whole number from ${least} to ${most}.`);
    return value;
  };
}

/** An address to listen on, such as `--host`; this machine only by default. */
export function hostOption(name: string, what: string): Option {
  return new Option(`${name} <address>`, what).default('127.0.0.1');
}

/**
 * A port, such as `--port`.
 * @param byDefault undefined where none is meant without the option
 * @param least 0 where that is any free one
 */
export function portOption(name: string, what: string, byDefault?: number, least = 1): Option {
  const option = new Option(`${name} <n>`, what).argParser(whole(name, least, 65535));
  return byDefault === undefined ? option : option.default(byDefault);
}

export function brokerUrl(text: string): string {
  if (!/^mqtts?:\/\/[^/\s]+$/.test(text))
    throw new InvalidArgumentError('--broker must be a URL such as mqtt://192.168.1.5:1883.');
  return text;
}

export function siteArgument(): Argument {
  return new Argument('[site]', 'site file').default(DEMO_SITE, 'the fictitious museum in docs/examples');
}

/** The site of a file. @throws Mistake with a sentence for each mistake in the file */
export async function siteOf(file: string): Promise<Site> {
  return (await import('./siteFile')).readSite(file);
}
