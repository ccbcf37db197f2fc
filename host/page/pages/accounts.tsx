// All accounts, for administrators: who may do what, and one-time codes.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { type AccountRequest, type AccountView, ROLES, type Role } from '../../api/accounts';
import { AccountField } from '../parts/accountField';
import { FromHost } from '../parts/fromHost';
import { Tokens } from '../parts/tokens';
import { useAsked, usePage } from '../state/hooks';
import { askAccounts, changeAccount } from '../state/session';
import { t } from '../tongues/tongue';

type Change = (wish: AccountRequest) => Promise<boolean>;

function RoleField(props: {
  id: string;
  label: string;
  value: Role;
  onRole: (role: Role) => void;
}): JSX.Element {
  const { id, label, value, onRole } = props;
  return (
    <>
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(e) => onRole(e.currentTarget.value as Role)}>
        {ROLES.map((role) => (
          <option key={role} value={role}>
            {t.accounts.roles[role]}
          </option>
        ))}
      </select>
    </>
  );
}

function One({ account, change }: { account: AccountView; change: Change }): JSX.Element {
  const { id, name, role, state } = account;
  const [next, setNext] = useState(role);
  const isDisabled = state === 'disabled';
  return (
    <li>
      <details>
        <summary>
          <strong>{name}</strong> ({id}): {t.accounts.roles[role]}, {t.accounts.states[state]}
        </summary>
        <div class="confirm">
          <RoleField id={`role-${id}`} label={t.accounts.role} value={next} onRole={setNext} />
          <div class="buttons">
            <button
              type="button"
              class="sure"
              disabled={next === role}
              onClick={() => change({ do: 'role', account: id, role: next })}
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
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    if (!(await change({ do: 'make', account, name, role }))) return;
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
      <RoleField id="new-role" label={t.accounts.role} value={role} onRole={setRole} />
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
      <div role="status">
        {said.answer === '' ? null : (
          <p class={said.ok ? 'note' : 'mistake'}>
            <FromHost text={said.answer} />
          </p>
        )}
        {said.code === '' ? null : (
          <p class="note">
            {t.accounts.codeFor(said.of)} <strong class="code">{said.code}</strong>. {t.accounts.codeOnce}
          </p>
        )}
      </div>
      {isMine ? (
        <>
          <ul class="accounts">
            {value?.map((account) => (
              <One key={`${account.id} ${account.role}`} account={account} change={change} />
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
