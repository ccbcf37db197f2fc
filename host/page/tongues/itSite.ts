// The words of the pages that change the site, in Italian; see enSite.ts.
import type { SiteWords } from './enSite';
import { plurals } from './plurals';

const { count, number } = plurals('it-IT');

const UNTIL = 'Fino ad allora lavora con i dati di prima, e tutte le pagine mostrano quelli.';
const SAVED = 'L’ultima modifica è salvata.';

export const site: SiteWords = {
  title: 'Edificio',
  intro:
    'Zone, circuiti e apparecchi, orari e regole. Ogni modifica è controllata prima di essere salvata, e annotata nel ' +
    'registro dei controlli. Modificare questi dati non cambia mai il cablaggio.',
  rules: 'Orari e regole',
  changeRules: 'Modificare orari e regole',
  circuits: 'Circuiti e apparecchi',
  areas: 'Zone',
  floors: 'Piani',
  addCircuit: 'Aggiungere un circuito',
  addArea: 'Aggiungere una zona',
  addFloor: 'Aggiungere un piano',
  addLuminaire: (circuit) => `Aggiungere un apparecchio a ${circuit}`,
  circuitLine: (name, luminaires) => `${name}, ${count(luminaires, 'apparecchio', 'apparecchi')}`,
  gone: 'In questo edificio non c’è più.',
  byHand: (file) =>
    `${file} è stato modificato da quando l’host è stato avviato. Varrà solo dopo un riavvio; fino ad allora qui non si ` +
    'può salvare niente, salvo che siano cambiati solo dei commenti.',
  taking: `${SAVED} L’host la sta adottando. ${UNTIL}`,
  reading: (percent) =>
    `${SAVED} L’host la sta adottando: per questo ha letto il ${number(percent)} % del registro. ${UNTIL}`,
  waiting: (why) => `${SAVED} L’host aspetta ancora: ${why}. ${UNTIL}`,
  taken: 'Salvato e annotato nel registro dei controlli. L’host ora lavora con questi dati.',

  kept: {
    label: 'Non ancora salvato',
    stale:
      'Nel frattempo il file è stato modificato, in un’altra finestra o a mano. Provi con il nuovo file, dove tutto è ' +
      'controllato di nuovo, oppure vi rinunci.',
    fresh: 'Sarà salvato insieme alla prossima modifica.',
    tryNew: 'Provare con il nuovo file',
    tryAgain: 'Provare a salvare',
    giveUp: 'Rinunciare',
  },

  add: {
    floors: 'Nuovo piano',
    areas: 'Nuova zona',
    circuits: 'Nuovo circuito',
    luminaires: 'Nuovo apparecchio',
  },
  addIn: (circuit) => `Nuovo apparecchio nel circuito ${circuit}`,
  change: {
    floors: (id) => `Modificare il piano ${id}`,
    areas: (id) => `Modificare la zona ${id}`,
    circuits: (id) => `Modificare il circuito ${id}`,
    luminaires: (id) => `Modificare l’apparecchio ${id}`,
  },

  caution: {
    data: 'Modificare questi dati non cambia mai il cablaggio.',
    rules: 'Quello che cambia qui porta a un nuovo piano delle prove.',
    luminaire: 'Controlli l’autonomia nominale sulla targa dell’apparecchio, e ne misuri le correnti.',
    newLuminaire: 'È letto al successivo ingresso del sensore del suo circuito.',
    circuit:
      'L’identificativo è anche nella centralina: se cambia, metta di nuovo in servizio la centralina con quello nuovo.',
    newCircuit:
      'Richiede una centralina messa in servizio per questo identificativo, e almeno un apparecchio.',
  },

  move: {
    only: (id, to) => `Lo cambi qui solo se l’apparecchio ${id} è davvero alimentato dal circuito ${to}.`,
    input: (to, input) => `Sarà letto all’ingresso ${number(input)} dei sensori del circuito ${to}.`,
    module: (to) => `Richiede un modulo di corrente sul bus del circuito ${to}.`,
    along:
      'I suoi risultati e i dati della sua batteria lo seguono. Se la sua temperatura non è nota, vale quella del nuovo circuito.',
    up: (ids) => `Avanzano di un ingresso del sensore: ${ids}. Sposti anche i loro fili del sensore.`,
  },

  remove: {
    button: 'Togliere…',
    yes: 'Sì, togliere',
    no: 'Tenere',
    floors: (id) => `Togliere il piano ${id}?`,
    areas: (id) => `Togliere la zona ${id}?`,
    circuits: (id) =>
      `Togliere il circuito ${id} con tutti i suoi apparecchi? I risultati restano nel registro. La sua centralina ` +
      'mantiene il suo piano e continua le prove finché non è smontata.',
    luminaires: (id) => `Togliere l’apparecchio ${id}? I suoi risultati restano nel registro.`,
  },

  ones: { floor: 'piano', area: 'zona', circuit: 'circuito', luminaire: 'apparecchio' },

  thing: {
    site: 'edificio',
    floors: (id) => `piano ${id}`,
    areas: (id) => `zona ${id}`,
    circuits: (id) => `circuito ${id}`,
    luminaires: (id) => `apparecchio ${id}`,
  },
  did: {
    added: (thing) => `${thing}: aggiunta`,
    removed: (thing) => `${thing}: eliminazione`,
    renamed: (thing, to) => `${thing}: ora si chiama ${to}`,
    moved: (thing, to) => `${thing}: passa al circuito ${to}`,
    changed: (thing, field) => `${thing}: modifica di ${field}`,
  },

  form: {
    label: 'Modifiche',
    fields: 'Campi',
    here: 'Niente è stato salvato. Corregga i campi segnati sotto.',
    elsewhere: 'Niente è stato ancora salvato.',
    nothing: 'Qui non è ancora cambiato niente.',
    mend: 'Se un’altra modifica vi rimedia, tenga questa e inserisca l’altra:',
    keep: 'Tenere e continuare',
    reload: 'Ricaricare la pagina',
    saving: 'Salvataggio…',
    save: 'Salvare',
    leave: 'Lasciare tutto com’era',
  },

  field: {
    circuit: 'Circuito',
    choose: 'Scegliere…',
    notSaid: (otherwise) => `Non indicato: ${otherwise}`,
    yes: 'Sì',
    no: 'No',
    never: 'mai',
    everyDay: 'ogni giorno',
    hours: (n) => `Orario ${number(n)}`,
    from: 'Dalle',
    to: 'Alle',
    remove: 'Togliere',
    removeHours: (n) => `Togliere l’orario ${number(n)}`,
    noHours: 'Nessun orario.',
    addHours: 'Aggiungere un orario',
    ownHours: 'Indicare orari propri',
    noneOwn: (otherwise) => `Nessun orario proprio: ${otherwise}`,
    dates: 'Una data per riga, come 2026-12-25.',
    example: (text) => `Per esempio: ${text}.`,
    empty: (otherwise) => `Vuoto: ${otherwise}.`,
    unmarked: (otherwise) => `Niente di segnato: ${otherwise}.`,
  },

  options: {
    measured: 'misurate',
    expected: 'attese',
    'lead-acid': 'piombo',
    even: 'pari',
    odd: 'dispari',
    none: 'nessuna',
    input: 'registri di ingresso',
    holding: 'registri di mantenimento',
  },
};
