// The file of `serve --alerts`: who is told, and how. Passwords and secrets are never in it: they are in files of their
// own beside it, or in the environment.
import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { parse } from 'yaml';
import { z } from 'zod';
import { nearest } from '../../site/nearest';
import type { MailAddress } from './mail';
import { SIGN_EVERY_SEC, type SignPace } from './signs';
import { keyOf, type WebhookAddress } from './webhook';

export interface AlertSettings {
  mail?: MailAddress & { digestAt: string };
  webhooks: (WebhookAddress & { signOfLife?: SignPace })[];
}

const SERVER_RULE = 'must be smtp://USER@HOST:PORT or smtps://USER@HOST:PORT, without the password';

/** A server a connection can be made to: also its port and the escapes in its user name are read. */
function isMailServer(address: string): boolean {
  if (!/^smtps?:\/\/([^/\s@:]+@)?[^/\s@?#]+$/.test(address)) return false;
  try {
    decodeURIComponent(new URL(address).username);
    return true;
  } catch {
    return false;
  }
}

/** True if a password may be in it. */
function hasUser(url: string): boolean {
  const { username, password } = new URL(url);
  return username !== '' || password !== '';
}

const text = z.string({ error: 'must be text' }).min(1, { error: 'must not be empty' });
const where = {
  passwordFile: text.optional(),
  passwordVariable: text.optional(),
};

const mail = z.strictObject({
  server: text.refine(isMailServer, {
    error: `${SERVER_RULE}, with a port up to 65535 and any % in the user as %25`,
  }),
  ...where,
  from: text.regex(/^\S+@\S+$/, { error: 'must be a mail address' }),
  to: z
    .array(text.regex(/^\S+@\S+$/, { error: 'must be a mail address' }))
    .min(1, { error: 'must be a list of mail addresses' }),
  digestAt: z
    .string()
    .regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error: 'must be a time in quotes, such as "07:00"' })
    .default('07:00'),
});

const PACES = Object.keys(SIGN_EVERY_SEC) as [SignPace, ...SignPace[]];

const webhook = z.strictObject({
  url: z
    .url({ protocol: /^https?$/, error: 'must be an http or https address', abort: true })
    .refine((url) => !hasUser(url), {
      error: 'must be without user and password: messages are signed by a secretFile instead',
    }),
  secretFile: text.optional(),
  secretVariable: text.optional(),
  signOfLife: z.enum(PACES, { error: `must be ${PACES.join(' or ')}` }).optional(),
});

const file = z.strictObject(
  {
    mail: mail.optional(),
    webhooks: z
      .array(webhook, { error: 'must be a list, with "- url: ..." for each' })
      .refine((list) => new Set(list.map(({ url }) => url)).size === list.length, {
        error: 'must not name the same url twice',
      })
      .default([]),
  },
  { error: 'must have mail or webhooks' },
);

/** The fields of each group, by its name; '' for the whole file. */
const FIELDS: Record<string, string[]> = Object.fromEntries(
  Object.entries({ '': file, mail, webhooks: webhook }).map(([name, { shape }]) => [
    name,
    Object.keys(shape),
  ]),
);

/** What a mistake is, and where. */
function mistakeWords(issue: z.core.$ZodIssue): string {
  const where = issue.path.length > 0 ? `${issue.path.join('.')} ` : '';
  if (issue.code !== 'unrecognized_keys') return `${where}${issue.message}`;
  const [key] = issue.keys;
  const known = FIELDS[String(issue.path[0] ?? '')];
  const near = nearest(key, known);
  const instead =
    near === undefined ? `the fields here are ${known.join(', ')}` : `"${near}" is meant, perhaps`;
  return `${where || 'it '}has a field ${JSON.stringify(key)} that is not known: ${instead}`;
}

type Environment = Record<string, string | undefined>;

function readSecret(path: string): string {
  try {
    return readFileSync(path, 'utf8').trim();
  } catch (error) {
    throw new Error(`The secret cannot be read from ${path}: ${(error as Error).message}.`);
  }
}

/** A secret from its file or the environment, never empty; undefined if neither is named. */
function secretOf(
  { fromFile, variable }: { fromFile: string | undefined; variable: string | undefined },
  folder: string,
  environment: Environment,
): string | undefined {
  if (fromFile !== undefined) {
    const path = resolve(folder, fromFile);
    const secret = readSecret(path);
    if (secret === '') throw new Error(`${path} is empty: write the secret into it.`);
    return secret;
  }
  if (variable === undefined) return undefined;
  const value = environment[variable]?.trim();
  if (!value) throw new Error(`The environment has no ${variable}, which the alerts need.`);
  return value;
}

/** @throws Error with one sentence for the first mistake */
export function readAlertSettings(path: string, environment: Environment = process.env): AlertSettings {
  let raw: unknown;
  try {
    raw = parse(readFileSync(path, 'utf8'));
  } catch (error) {
    throw new Error(`${path} cannot be read: ${(error as Error).message.split('\n')[0]}.`);
  }
  const checked = file.safeParse(raw);
  if (!checked.success)
    throw new Error(`${path}: ${mistakeWords(checked.error.issues[0])}; docs/integrators.md says how.`);
  const { mail, webhooks } = checked.data;
  if (!mail && webhooks.length === 0) throw new Error(`${path}: it has neither mail nor webhooks.`);
  const folder = dirname(path);
  const password =
    mail && secretOf({ fromFile: mail.passwordFile, variable: mail.passwordVariable }, folder, environment);
  if (mail && new URL(mail.server).username !== '' && password === undefined)
    throw new Error(`${path}: mail.server has a user, so name passwordFile or passwordVariable too.`);
  return {
    ...(mail && {
      mail: {
        ...{ server: mail.server, from: mail.from, to: [...new Set(mail.to)], digestAt: mail.digestAt },
        ...(password !== undefined && { password }),
      },
    }),
    webhooks: webhooks.map(({ url, secretFile, secretVariable, signOfLife }, i) => {
      const secret = secretOf({ fromFile: secretFile, variable: secretVariable }, folder, environment);
      if (secret !== undefined && keyOf(secret).length === 0)
        throw new Error(
          `${path}: the secret of webhooks.${i} has no base64 after whsec_, so it signs nothing.`,
        );
      return { url, ...(secret !== undefined && { secret }), ...(signOfLife && { signOfLife }) };
    }),
  };
}
