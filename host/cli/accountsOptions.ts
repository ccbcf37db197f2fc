// The verbs of `accounts` and their options.
import { type Command, Option } from 'commander';
import { type AccountRequest, ROLES, type Role } from '../api/accounts';
import { TOKEN_DAYS, TOKEN_DAYS_MAX, TOKEN_SCOPES, type TokenRequest, type TokenScope } from '../api/tokens';
import { sharedIn } from '../serve/places';
import type { AccountsOptions } from './accounts';
import { DEFAULT_DB, siteArgument, siteOf, whole } from './arguments';

interface Flags {
  who: string;
  db: string;
  logbooks?: string;
}

function folderOption(): Option {
  return new Option(
    '--logbooks <folder>',
    'of several buildings: folder of their log books, in place of site and --db',
  );
}

function buildingOption(): Option {
  return new Option(
    '--building <id>',
    'of several: the only building the role is for (default: all of them)',
  );
}

/** @param canEnd whether a role may be taken away too */
function roleOption(canEnd = false): Option {
  return new Option('--role <role>', 'what its owner may do')
    .choices(canEnd ? [...ROLES, 'none'] : ROLES)
    .makeOptionMandatory();
}

/** A verb about one account; `options` are its own. */
function verb(
  accounts: Command,
  name: string,
  what: string,
  options: Option[] = [],
  [argument, example] = ['<account>', 'account, e.g. anna'],
): Command {
  const command = accounts
    .command(name)
    .description(what)
    .argument(argument, example)
    .addArgument(siteArgument());
  for (const option of options) command.addOption(option);
  return command
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .addOption(folderOption());
}

/** A verb that shows all of them, for which nobody gives a name. @param print returns the exit code */
function listVerb(command: Command, what: string, print: (db: string) => Promise<number>): void {
  command
    .command('list')
    .description(what)
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .addOption(folderOption())
    .action(async (o: { db: string; logbooks?: string }) => {
      process.exitCode = await print(o.logbooks === undefined ? o.db : sharedIn(o.logbooks));
    });
}

/** The desk of one building, or of all whose log books are in a folder. */
async function deskPlace(file: string, { who, db, logbooks }: Flags): Promise<AccountsOptions> {
  return { who, ...(logbooks === undefined ? { site: await siteOf(file), db } : { folder: logbooks }) };
}

async function change(file: string, o: Flags, wish: AccountRequest): Promise<void> {
  const { accountsChangeCommand } = await import('./accounts');
  process.exitCode = await accountsChangeCommand(await deskPlace(file, o), wish);
}

export function addAccounts(program: Command): void {
  const accounts = program
    .command('accounts')
    .description('Accounts: who may do what on the page. From the first one on the page asks who is there.');
  listVerb(accounts, 'Show all accounts.', async (db) =>
    (await import('./accounts')).accountsListCommand(db),
  );
  const name = new Option('--name <name>', 'full name, as it is to stand in the log book');
  verb(
    accounts,
    'add',
    'Make an account, and print the one-time code with which its owner chooses a password.',
    [name.makeOptionMandatory(), roleOption(), buildingOption()],
  ).action((account: string, file: string, o: Flags & { name: string; role: Role; building?: string }) =>
    change(file, o, { do: 'make', account, name: o.name, role: o.role, building: o.building }),
  );
  verb(accounts, 'role', 'Give an account another role.', [roleOption(true), buildingOption()]).action(
    (account: string, file: string, o: Flags & { role: Role | 'none'; building?: string }) =>
      change(file, o, { do: 'role', account, role: o.role, building: o.building }),
  );
  verb(accounts, 'disable', 'Disable an account; its sessions end at once.').action(
    (account: string, file: string, o: Flags) => change(file, o, { do: 'disable', account }),
  );
  verb(accounts, 'enable', 'Enable an account that was disabled.').action(
    (account: string, file: string, o: Flags) => change(file, o, { do: 'enable', account }),
  );
  verb(
    accounts,
    'reset',
    'Print a one-time code with which the owner of an account chooses another password.',
  ).action((account: string, file: string, o: Flags) => change(file, o, { do: 'code', account }));
  addTokens(accounts);
}

async function changeToken(file: string, o: Flags, wish: TokenRequest): Promise<void> {
  const { tokenCommand } = await import('./accounts');
  process.exitCode = await tokenCommand(await deskPlace(file, o), wish);
}

function addTokens(accounts: Command): void {
  const token = accounts
    .command('token')
    .description('Access tokens, for programs that cannot sign in. None gives an order that moves a relay.');
  listVerb(token, 'Show all access tokens, and when each was last used.', async (db) =>
    (await import('./accounts')).tokenListCommand(db),
  );
  const scope = new Option('--scope <scope>', 'the one thing it is good for').choices(TOKEN_SCOPES);
  const days = new Option('--days <n>', 'how long it is good')
    .argParser(whole('--days', 1, TOKEN_DAYS_MAX))
    .default(TOKEN_DAYS);
  verb(
    token,
    'make',
    'Make an access token, and print it once.',
    [scope.makeOptionMandatory(), days],
    ['<name>', 'what it is for, as it is to stand in the log book'],
  ).action((name: string, file: string, o: Flags & { scope: TokenScope; days: number }) =>
    changeToken(file, o, { do: 'make', name, scope: o.scope, days: o.days }),
  );
  verb(
    token,
    'withdraw',
    'Withdraw an access token: it is refused at once.',
    [],
    ['<token>', 'the eight characters by which the list names it'],
  ).action((id: string, file: string, o: Flags) => changeToken(file, o, { do: 'withdraw', token: id }));
}
