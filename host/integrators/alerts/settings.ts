// The file of `serve --alerts`: who is told, and how. Passwords and secrets are never in it: they are in files of their
// own beside it, or in the environment.
import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { parse } from 'yaml';
import { z } from 'zod';
import type { MailAddress } from './mail';
import type { WebhookAddress } from './webhook';

export interface AlertSettings {
  mail?: MailAddress & { digestAt: string };
  webhooks: WebhookAddress[];
}

const text = z.string({ error: 'must be text' }).min(1, { error: 'must not be empty' });
const where = {
  passwordFile: text.optional(),
  passwordVariable: text.optional(),
};

const file = z.strictObject(
  {
    mail: z
      .strictObject({
        server: text.regex(/^smtps?:\/\/([^/\s@:]+@)?[^/\s@]+$/, {
          error: 'must be smtp://USER@HOST:PORT or smtps://USER@HOST:PORT, without the password',
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
      })
      .optional(),
    webhooks: z
      .array(
        z.strictObject({
          url: z.url({ protocol: /^https?$/, error: 'must be an http or https address' }),
          secretFile: text.optional(),
          secretVariable: text.optional(),
        }),
      )
      .default([]),
  },
  { error: 'must have mail or webhooks' },
);

type Environment = Record<string, string | undefined>;

/** A secret from its file or the environment; undefined if neither is named. */
function secretOf(
  { fromFile, variable }: { fromFile: string | undefined; variable: string | undefined },
  folder: string,
  environment: Environment,
): string | undefined {
  if (fromFile !== undefined) {
    const path = resolve(folder, fromFile);
    try {
      return readFileSync(path, 'utf8').trim();
    } catch (error) {
      throw new Error(`The secret cannot be read from ${path}: ${(error as Error).message}.`);
    }
  }
  if (variable === undefined) return undefined;
  const value = environment[variable];
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
  if (!checked.success) {
    const [{ path: at, message }] = checked.error.issues;
    throw new Error(
      `${path}: ${at.length > 0 ? `${at.join('.')} ` : ''}${message}; docs/integrators.md says how.`,
    );
  }
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
        ...{ server: mail.server, from: mail.from, to: mail.to, digestAt: mail.digestAt },
        ...(password !== undefined && { password }),
      },
    }),
    webhooks: webhooks.map(({ url, secretFile, secretVariable }) => {
      const secret = secretOf({ fromFile: secretFile, variable: secretVariable }, folder, environment);
      return { url, ...(secret !== undefined && { secret }) };
    }),
  };
}
