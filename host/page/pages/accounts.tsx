// All accounts, for administrators: who may do what, and one-time codes.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { type AccountRequest, type AccountView, ROLES, type Role } from '../../api/accounts';
import { AccountField } from '../parts/accountField';
import { Answer } from '../parts/mistake';
import { Tokens } from '../parts/tokens';
import { useAsked, usePage } from '../state/hooks';
import { askAccounts, changeAccount } from '../state/session';
import { t } from '../tongues/tongue';

type Change = (wish: AccountRequest) => Promise<boolean>;

type RoleOrNone = Role | 'none';

const roleWord = (role: RoleOrNone): string => (role === 'none' ? t.accounts.noRole : t.accounts.roles[role]);

function RoleField<T extends RoleOrNone>(props: {
  id: string;
  label: string;
  value: T;
  all: readonly T[];
  onRole: (role: T) => void;
}): JSX.Element {
  const { id, label, value, all, onRole } = props;
  return (
    <>
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(e) => onRole(e.currentTarget.value as T)}>
        {all.map((role) => (
          <option key={role} value={role}>
            {roleWord(role)}
          </option>
        ))}
      </select>
    </>
  );
}

/** Which of several buildings a role is for; '' for all of them. Nothing where there is only one. */
function BuildingField(props: {
  id: string;
  value: string;
  onBuilding: (id: string) => void;
}): JSX.Element | null {
  const { id, value, onBuilding } = props;
  const { overview } = usePage();
  if (!overview) return null;
  return (
    <>
      <label for={id}>{t.buildings.building}</label>
      <select id={id} value={value} onChange={(e) => onBuilding(e.currentTarget.value)}>
        <option value="">{t.buildings.all}</option>
        {overview.buildings
          .filter((one) => one.id !== '')
          .map((one) => (
            <option key={one.id} value={one.id}>
              {one.name}
            </option>
          ))}
      </select>
    </>
  );
}

/** "Annex: electrician, all buildings: viewer" */
function rolesWords({ role, at }: AccountView, nameOf: (id: string) => string): string {
  const all = Object.entries(at);
  if (all.length === 0) return t.accounts.roles[role];
  return all.map(([id, one]) => `${nameOf(id)}: ${t.accounts.roles[one]}`).join(', ');
}

const inBuilding = (building: string) => (building === '' ? {} : { building });

function One({ account, change }: { account: AccountView; change: Change }): JSX.Element {
  const { id, name, role, state } = account;
  const { overview } = usePage();
  const [next, setNext] = useState<RoleOrNone>(role);
  const [building, setBuilding] = useState('');
  const nameOf = (one: string): string =>
    one === '*' ? t.buildings.all : (overview?.buildings.find((line) => line.id === one)?.name ?? one);
  const isDisabled = state === 'disabled';
  return (
    <li>
      <details>
        <summary>
          <strong>{name}</strong> ({id}): {rolesWords(account, nameOf)}, {t.accounts.states[state]}
        </summary>
        <div class="confirm">
          <BuildingField id={`building-${id}`} value={building} onBuilding={setBuilding} />
          <RoleField<RoleOrNone>
            id={`role-${id}`}
            label={t.accounts.role}
            value={next}
            all={overview ? [...ROLES, 'none'] : ROLES}
            onRole={setNext}
          />
          <div class="buttons">
            <button
              type="button"
              class="sure"
              disabled={!overview && next === role}
              onClick={() => change({ do: 'role', account: id, role: next, ...inBuilding(building) })}
            >
              {t.accounts.giveRole}
            </button>
            <button type="button" class="plain" onClick={() => change({ do: 'code', account: id })}>
              {t.accounts.giveCode}
            </button>
            <button
              type="button"
              class="plain"
              onClick={() => change({ do: isDisabled ? 'enable' : 'disable', account: id })}
            >
              {isDisabled ? t.accounts.enable : t.accounts.disable}
            </button>
          </div>
        </div>
      </details>
    </li>
  );
}

function NewAccount({ change }: { change: Change }): JSX.Element {
  const [account, setAccount] = useState('');
  const [name, setName] = useState('');
  const [role, setRole] = useState<Role>('electrician');
  const [building, setBuilding] = useState('');
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    if (!(await change({ do: 'make', account, name, role, ...inBuilding(building) }))) return;
    setAccount('');
    setName('');
  }
  return (
    <form class="confirm" aria-label={t.accounts.make} onSubmit={send} noValidate>
      <label for="new-name">{t.signIn.fullName}</label>
      <input id="new-name" autoComplete="off" value={name} onInput={(e) => setName(e.currentTarget.value)} />
      <AccountField
        id="new-account"
        label={t.accounts.short}
        autoComplete="off"
        value={account}
        onValue={setAccount}
      />
      <BuildingField id="new-building" value={building} onBuilding={setBuilding} />
      <RoleField id="new-role" label={t.accounts.role} value={role} all={ROLES} onRole={setRole} />
      <div class="buttons">
        <button type="submit" class="sure">
          {t.accounts.make}
        </button>
      </div>
    </form>
  );
}

/** Page of the accounts. */
export function AccountsPage(): JSX.Element {
  const { session } = usePage();
  const [round, setRound] = useState(0);
  const [said, setSaid] = useState({ ok: true, answer: '', code: '', of: '' });
  const isMine = session?.person?.role === 'administrator';
  const { value, problem } = useAsked(isMine ? askAccounts : async () => [], 'accounts', round);
  const change: Change = async (wish) => {
    const { ok, answer, code = '' } = await changeAccount(wish);
    setSaid({ ok, answer, code, of: wish.account });
    setRound((n) => n + 1);
    return ok;
  };
  return (
    <>
      <h1>{t.frame.accounts}</h1>
      {isMine ? null : <p>{session?.asked ? t.accounts.notYours : t.accounts.none}</p>}
      {problem === '' ? null : <p role="alert">{problem}</p>}
      <Answer said={said}>
        {said.code === '' ? null : (
          <p class="note">
            {t.accounts.codeFor(said.of)} <strong class="code">{said.code}</strong>. {t.accounts.codeOnce}
          </p>
        )}
      </Answer>
      {isMine ? (
        <>
          <ul class="accounts">
            {value?.map((account) => (
              <One
                key={`${account.id} ${account.role} ${Object.entries(account.at).join(' ')}`}
                account={account}
                change={change}
              />
            ))}
          </ul>
          <h2>{t.accounts.make}</h2>
          <NewAccount change={change} />
          <Tokens />
        </>
      ) : null}
    </>
  );
}
