// The words of the pages that change the site, in German; see enSite.ts.
import type { SiteWords } from './enSite';
import { plurals } from './plurals';

const { count, number } = plurals('de-DE');

const UNTIL = 'Bis dahin arbeitet er mit den bisherigen Angaben, und alle Seiten zeigen diese.';
const SAVED = 'Die letzte Änderung ist gespeichert.';

export const site: SiteWords = {
  title: 'Gebäude',
  intro:
    'Bereiche, Stromkreise und Notleuchten, Zeiten und Regeln. Jede Änderung wird vor dem Speichern geprüft und ins ' +
    'Prüfbuch eingetragen. An der Verdrahtung ändern diese Angaben nie etwas.',
  rules: 'Zeiten und Regeln',
  changeRules: 'Zeiten und Regeln ändern',
  circuits: 'Stromkreise und Notleuchten',
  areas: 'Bereiche',
  floors: 'Geschosse',
  addCircuit: 'Stromkreis hinzufügen',
  addArea: 'Bereich hinzufügen',
  addFloor: 'Geschoss hinzufügen',
  addLuminaire: (circuit) => `Notleuchte in ${circuit} hinzufügen`,
  circuitLine: (name, luminaires) => `${name}, ${count(luminaires, 'Notleuchte', 'Notleuchten')}`,
  gone: 'Das gibt es in diesem Gebäude nicht mehr.',
  byHand: (file) =>
    `${file} wurde geändert, seit der Host gestartet wurde. Das gilt erst, wenn er neu gestartet wird; bis dahin kann ` +
    'hier nichts gespeichert werden, außer wenn nur Kommentare geändert wurden.',
  taking: `${SAVED} Der Host übernimmt sie gerade. ${UNTIL}`,
  reading: (percent) =>
    `${SAVED} Der Host übernimmt sie gerade: ${number(percent)} % des Prüfbuchs sind dafür gelesen. ${UNTIL}`,
  waiting: (why) => `${SAVED} Der Host wartet noch mit ihr: ${why}. ${UNTIL}`,
  taken: 'Gespeichert und ins Prüfbuch eingetragen. Der Host arbeitet jetzt damit.',

  kept: {
    label: 'Noch nicht gespeichert',
    stale:
      'Die Datei wurde inzwischen geändert, in einem anderen Fenster oder von Hand. Versuchen Sie es mit der neuen ' +
      'Datei, in der alles noch einmal geprüft wird, oder verwerfen Sie es.',
    fresh: 'Das wird zusammen mit der nächsten Änderung gespeichert.',
    tryNew: 'Mit der neuen Datei versuchen',
    tryAgain: 'Speichern versuchen',
    giveUp: 'Verwerfen',
  },

  add: {
    floors: 'Neues Geschoss',
    areas: 'Neuer Bereich',
    circuits: 'Neuer Stromkreis',
    luminaires: 'Neue Notleuchte',
  },
  addIn: (circuit) => `Neue Notleuchte im Stromkreis ${circuit}`,
  change: {
    floors: (id) => `Geschoss ${id} ändern`,
    areas: (id) => `Bereich ${id} ändern`,
    circuits: (id) => `Stromkreis ${id} ändern`,
    luminaires: (id) => `Notleuchte ${id} ändern`,
  },

  caution: {
    data: 'An der Verdrahtung ändern diese Angaben nie etwas.',
    rules: 'Was Sie hier ändern, führt zu einem neuen Testplan.',
    luminaire:
      'Vergleichen Sie die Bemessungsbetriebsdauer mit dem Typenschild der Leuchte, und messen Sie die Ströme.',
    newLuminaire: 'Sie wird am nächsten Sensoreingang ihres Stromkreises gelesen.',
    circuit:
      'Die Kennung steht auch im Steuergerät: nach einer neuen Kennung das Steuergerät neu in Betrieb nehmen.',
    newCircuit:
      'Er braucht ein Steuergerät, das für diese Kennung in Betrieb genommen ist, und mindestens eine Notleuchte.',
  },

  move: {
    only: (id, to) =>
      `Ändern Sie ihn hier nur, wenn Notleuchte ${id} wirklich von Stromkreis ${to} gespeist wird.`,
    input: (to, input) => `Sie wird dann am Sensoreingang ${number(input)} von Stromkreis ${to} gelesen.`,
    module: (to) => `Sie braucht ein Strommodul am Bus von Stromkreis ${to}.`,
    along:
      'Ihre Ergebnisse und ihre Batteriedaten gehen mit. Ist ihre Temperatur nicht bekannt, gilt die des neuen Stromkreises.',
    up: (ids) =>
      `Um einen Sensoreingang nach vorn rücken: ${ids}. Klemmen Sie auch deren Sensorleitungen um.`,
  },

  remove: {
    button: 'Entfernen…',
    yes: 'Ja, entfernen',
    no: 'Behalten',
    floors: (id) => `Geschoss ${id} entfernen?`,
    areas: (id) => `Bereich ${id} entfernen?`,
    circuits: (id) =>
      `Stromkreis ${id} mit allen seinen Notleuchten entfernen? Die Ergebnisse bleiben im Prüfbuch. Das Steuergerät ` +
      'behält seinen Plan und testet weiter, bis es ausgebaut wird.',
    luminaires: (id) => `Notleuchte ${id} entfernen? Ihre Ergebnisse bleiben im Prüfbuch.`,
  },

  ones: { floor: 'Geschoss', area: 'Bereich', circuit: 'Stromkreis', luminaire: 'Notleuchte' },

  thing: {
    site: 'Gebäude',
    floors: (id) => `Geschoss ${id}`,
    areas: (id) => `Bereich ${id}`,
    circuits: (id) => `Stromkreis ${id}`,
    luminaires: (id) => `Notleuchte ${id}`,
  },
  did: {
    added: (thing) => `${thing} hinzugefügt`,
    removed: (thing) => `${thing} entfernt`,
    renamed: (thing, to) => `${thing} heißt jetzt ${to}`,
    moved: (thing, to) => `${thing} in den Stromkreis ${to} verlegt`,
    changed: (thing, field) => `${thing}: ${field} geändert`,
  },

  form: {
    label: 'Änderungen',
    fields: 'Felder',
    here: 'Nichts wurde gespeichert. Berichtigen Sie die unten markierten Felder.',
    elsewhere: 'Es wurde noch nichts gespeichert.',
    nothing: 'Hier ist noch nichts geändert.',
    mend: 'Wenn eine weitere Änderung das behebt, behalten Sie diese und geben Sie die andere ein:',
    keep: 'Behalten und weiter',
    reload: 'Seite neu laden',
    saving: 'Wird gespeichert…',
    save: 'Speichern',
    leave: 'Alles lassen, wie es war',
  },

  field: {
    circuit: 'Stromkreis',
    choose: 'Bitte wählen…',
    notSaid: (otherwise) => `Keine Angabe: ${otherwise}`,
    yes: 'Ja',
    no: 'Nein',
    never: 'nie',
    everyDay: 'täglich',
    hours: (n) => `Zeiten ${number(n)}`,
    from: 'Von',
    to: 'Bis',
    remove: 'Entfernen',
    removeHours: (n) => `Zeiten ${number(n)} entfernen`,
    noHours: 'Keine Zeiten.',
    addHours: 'Zeiten hinzufügen',
    ownHours: 'Eigene Zeiten angeben',
    noneOwn: (otherwise) => `Keine eigenen: ${otherwise}`,
    dates: 'Ein Datum je Zeile, wie 2026-12-25.',
    example: (text) => `Zum Beispiel: ${text}.`,
    empty: (otherwise) => `Leer: ${otherwise}.`,
    unmarked: (otherwise) => `Nichts angekreuzt: ${otherwise}.`,
  },

  options: {
    measured: 'gemessen',
    expected: 'erwartet',
    'lead-acid': 'Blei',
    even: 'gerade',
    odd: 'ungerade',
    none: 'keine',
    input: 'Eingangsregister',
    holding: 'Halteregister',
  },
};
