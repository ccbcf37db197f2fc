// What the host says of the site file and its batteries, in German; see said.ts.
import type { SaidOfSite } from './saidOfSite';

export const saidOfSite: SaidOfSite = {
  'Name of the building': 'Name des Gebäudes',
  'Person responsible': 'Verantwortliche Person',
  'Time zone': 'Zeitzone',
  'Rule profile': 'Regelwerk',
  'Compliance schedule': 'Prüfprogramm der Behörde (compliance schedule)',
  'Agreement of the authority': 'Zustimmung der Behörde',
  'Tests on top of the rule': 'Tests über die Regel hinaus',
  'Windows for tests': 'Zeitfenster für Tests',
  'Opening hours': 'Öffnungszeiten',
  'Days the building is closed': 'Tage, an denen das Gebäude geschlossen ist',
  'Days without tests': 'Tage ohne Tests',
  'Most circuits tested at the same time': 'Höchstzahl gleichzeitig getesteter Stromkreise',
  'Time between two starts in one night, s': 'Zeit zwischen zwei Testbeginnen in einer Nacht, s',
  'Where the building is': 'Lage des Gebäudes',
  'Days on which someone can deal with a failed test':
    'Tage, an denen sich jemand um einen nicht bestandenen Test kümmern kann',
  'Does a central battery system or panel feed any of the lighting?':
    'Speist eine Zentralbatterieanlage oder ein Lichtverteiler einen Teil der Beleuchtung?',
  'Its number or name': 'Nummer oder Name',
  'Most days between two function tests': 'Höchstens so viele Tage zwischen zwei Funktionstests',
  'Most days between two duration tests': 'Höchstens so viele Tage zwischen zwei Betriebsdauertests',
  'Least length of a duration test, min': 'Mindestlänge eines Betriebsdauertests, min',
  'Who agreed, and the date or number of the letter':
    'Wer zugestimmt hat, und Datum oder Zeichen des Schreibens',
  'Days between function tests': 'Tage zwischen Funktionstests',
  'Days between duration tests': 'Tage zwischen Betriebsdauertests',
  'Latitude, degrees, south negative': 'Geografische Breite, Grad, Süd negativ',
  'Longitude, degrees, west negative': 'Geografische Länge, Grad, West negativ',
  Id: 'Kennung',
  'Name of the floor': 'Name des Geschosses',
  'Name of the area': 'Name des Bereichs',
  Floor: 'Geschoss',
  'Areas an escape route leads into directly': 'Bereiche, in die ein Fluchtweg von hier direkt führt',
  'Hours when people are there': 'Zeiten, zu denen Menschen dort sind',
  'Are people there day and night?': 'Sind dort Tag und Nacht Menschen?',
  'Do people sleep there?': 'Schlafen dort Menschen?',
  'Are other areas left through it, as by a stair?':
    'Führt der Weg aus anderen Bereichen hier hindurch, wie bei einer Treppe?',
  'Name of the circuit': 'Name des Stromkreises',
  'Does the relay also switch off normal lighting?': 'Schaltet das Relais auch die normale Beleuchtung ab?',
  'Is an auxiliary contact of the relay wired?': 'Ist ein Hilfskontakt des Relais angeschlossen?',
  'Charging current right after a duration test, mA': 'Ladestrom gleich nach einem Betriebsdauertest, mA',
  'Time without movement until it counts as empty, s': 'Zeit ohne Bewegung, bis er als leer gilt, s',
  'Rated duration of its luminaires, min': 'Bemessungsbetriebsdauer seiner Notleuchten, min',
  'Batteries of its luminaires': 'Batterien seiner Notleuchten',
  'Date their batteries were fitted': 'Einbaudatum ihrer Batterien',
  'Usual temperature at the batteries, °C': 'Übliche Temperatur an den Batterien, °C',
  'Current modules on a bus': 'Strommodule an einem Bus',
  'Speed, bit/s': 'Geschwindigkeit, bit/s',
  Parity: 'Parität',
  'Kind of registers': 'Art der Register',
  'Register of the current': 'Register des Stroms',
  'mA for one count of the register': 'mA je Zähler des Registers',
  Place: 'Ort',
  'Area it stands in': 'Bereich, in dem sie sich befindet',
  'Areas its light falls on': 'Bereiche, die sie beleuchtet',
  Mode: 'Betriebsart',
  'Lamp current on battery, mA': 'Lampenstrom auf Batterie, mA',
  'Lamp current on mains, mA': 'Lampenstrom am Netz, mA',
  'Rated duration, min': 'Bemessungsbetriebsdauer, min',
  Battery: 'Batterie',
  'Date the battery was fitted': 'Einbaudatum der Batterie',
  'Dates its earlier batteries were fitted': 'Einbaudaten ihrer früheren Batterien',
  'Usual temperature at the battery, °C': 'Übliche Temperatur an der Batterie, °C',
  'Address of its current module on the bus': 'Adresse ihres Strommoduls am Bus',
  'Its currents were': 'Ihre Ströme wurden',
  measured: 'gemessen',
  "Expected, e.g. by the maker's data: the luminaire is listed as not proven until its measured currents are accepted.":
    'Erwartet, z. B. nach Herstellerangaben: die Notleuchte gilt als nicht nachgewiesen, bis ihre gemessenen Ströme übernommen sind.',
  'a whole number from {n} to {n2}': 'eine ganze Zahl von {n} bis {n2}',
  'a number from {n} to {n2}': 'eine Zahl von {n} bis {n2}',
  'a number above 0, up to {n}': 'eine Zahl über 0, bis {n}',
  'one of: {text}': 'eines von: {text}',
  '1 to 24 lower-case letters, digits or hyphens': '1 bis 24 Kleinbuchstaben, Ziffern oder Bindestriche',
  '1 to 24 letters, digits or hyphens': '1 bis 24 Buchstaben, Ziffern oder Bindestriche',
  'none; a profile that follows one needs it': 'keines; ein Regelwerk, das sich danach richtet, verlangt es',
  "the rule's own interval": 'der Abstand der Regel selbst',
  'only the tests the rule asks for': 'nur die Tests, die die Regel verlangt',
  none: 'keine',
  'not known: daylight or dark is not shown': 'nicht bekannt: hell oder dunkel wird nicht angezeigt',
  'every day': 'jeden Tag',
  'none, unless the other area names this one': 'keine, außer wenn der andere Bereich diesen nennt',
  "the building's opening": 'die Öffnungszeiten des Gebäudes',
  'found from the floors it joins': 'ergibt sich aus den Geschossen, die er verbindet',
  'no sensor is fitted': 'kein Sensor eingebaut',
  'each luminaire says it': 'steht bei jeder Notleuchte',
  'each luminaire with a module says it': 'steht bei jeder Notleuchte mit Modul',
  'not known': 'nicht bekannt',
  '19200 bit/s, even parity, input registers': '19200 bit/s, gerade Parität, Eingangsregister',
  even: 'gerade',
  input: 'Eingangsregister',
  'its own area': 'ihr eigener Bereich',
  'dark on mains; a mode that is lit on mains needs it':
    'am Netz dunkel; eine Betriebsart, die am Netz leuchtet, braucht es',
  'what its circuit says; one of the two must say it':
    'die Angabe des Stromkreises; an einer der beiden Stellen muss es stehen',
  'what its circuit says, else not known': 'die Angabe des Stromkreises, sonst nicht bekannt',
  "the controller's own converter reads it": 'der Wandler des Steuergeräts selbst liest sie',
  'what its circuit says; needed with a module': 'die Angabe des Stromkreises; mit einem Modul nötig',
  'Printed on pages and reports.': 'Steht auf Seiten und Berichten.',
  'All hours in the file are local.': 'Alle Zeiten der Datei sind Ortszeiten.',
  'Sets intervals and lengths of tests.': 'Bestimmt Abstände und Längen der Tests.',
  'Where each building has its own rule.': 'Wo jedes Gebäude seine eigene Regel hat.',
  'Where the rule lets the authority extend its interval.':
    'Wo die Regel der Behörde erlaubt, den Abstand zu verlängern.',
  'Tests on top of the rule: function tests where nobody is there or someone looks in for at most half an hour; duration tests also where people are there for up to half a day, the more rarely the more they meet.':
    'Tests über die Regel hinaus: Funktionstests, wo niemand ist oder jemand höchstens eine halbe Stunde hineinsieht; Betriebsdauertests auch, wo bis zu einen halben Tag lang Menschen sind, umso seltener, je mehr sie davon betroffen sind.',
  'The longest must hold the longest test and 5 minutes; across noon it counts as two.':
    'Das längste muss den längsten Test und 5 Minuten aufnehmen; über Mittag zählt es als zwei.',
  'None means that nobody is ever there.': 'Keine bedeutet, dass nie jemand da ist.',
  'Tests are planned around these hours.': 'Die Tests werden um diese Zeiten herum geplant.',
  'Nobody is there on these days.': 'An diesen Tagen ist niemand da.',
  'A window that touches one of these days is left out.':
    'Ein Zeitfenster, das einen dieser Tage berührt, entfällt.',
  'Where the building is, for sunrise and sunset.':
    'Lage des Gebäudes, für Sonnenaufgang und Sonnenuntergang.',
  'Its indicators are looked at every day.': 'Ihre Anzeigen werden jeden Tag angesehen.',
  'Areas an escape route leads into directly.': 'Bereiche, in die ein Fluchtweg von hier direkt führt.',
  'Neighbours are never without their light in one night.':
    'Benachbarte Bereiche sind nie in derselben Nacht ohne ihr Licht.',
  'None: never.': 'Keine: nie.',
  'Counts as always occupied.': 'Gilt als immer besetzt.',
  'Two ways out of one area are never tested in one night.':
    'Zwei Wege aus einem Bereich werden nie in derselben Nacht getestet.',
  "The controller's id, too.": 'Zugleich die Kennung des Steuergeräts.',
  'Find out at commissioning.': 'Bei der Inbetriebnahme feststellen.',
  'Such a circuit is tested only while the area is empty.':
    'Ein solcher Stromkreis wird nur getestet, wenn der Bereich leer ist.',
  'Limited duration tests (2/3) are planned, and the duration test stays owed.':
    'Geplant werden Teildauertests (2/3), und der Betriebsdauertest bleibt ausstehend.',
  'Only for a shared circuit.': 'Nur für einen gemeinsamen Stromkreis.',
  'Only where current modules on a bus read the lamps.': 'Nur wo Strommodule an einem Bus die Lampen lesen.',
  'Unique in the building; its results stay with it.': 'Im Gebäude einmalig; die Ergebnisse bleiben bei ihr.',
  'All areas its light falls on.': 'Alle Bereiche, die sie beleuchtet.',
  'Maintained and switched maintained are lit on mains, non-maintained and combined (its emergency lamp) are dark.':
    'Dauerschaltung und geschaltete Dauerschaltung leuchten am Netz; Bereitschaftsschaltung und kombinierte Leuchte (ihre Notlampe) sind dunkel.',
  'Measured at commissioning: the lamp is judged by it. 0.3 A is 300.':
    'Bei der Inbetriebnahme gemessen: danach wird die Lampe beurteilt. 0,3 A sind 300.',
  'Check refuses a date after today.': 'Ein Datum nach heute wird nicht angenommen.',
  'Nothing was saved: {said}': 'Nichts wurde gespeichert: {said}',
  'the site file has been changed since you opened it, in another window or in the file itself.':
    'die Anlagendatei wurde geändert, seit Sie sie geöffnet haben, in einem anderen Fenster oder von Hand.',
  'Load the page again and enter your change once more.':
    'Laden Sie die Seite neu und geben Sie Ihre Änderung noch einmal ein.',
  'the host is still taking over the last change; save again when it has.':
    'der Host übernimmt noch die letzte Änderung; speichern Sie noch einmal, wenn er damit fertig ist.',
  'the host still waits with the last change: {said}':
    'der Host wartet noch mit der letzten Änderung: {said}',
  'the last change was saved, but the host does not work with it yet; start the host again.':
    'die letzte Änderung wurde gespeichert, aber der Host arbeitet noch nicht damit; starten Sie den Host neu.',
  '{text} was changed by hand since the host was started; start the host again, or put the file back as it was.':
    '{text} wurde von Hand geändert, seit der Host gestartet wurde; starten Sie den Host neu, oder stellen Sie die Datei wieder her, wie sie war.',
  'these are {n} changes, and at most {n2} are saved at once; save some of them first.':
    'das sind {n} Änderungen, und höchstens {n2} werden auf einmal gespeichert; speichern Sie zuerst einen Teil.',
  'Nothing was changed.': 'Nichts wurde geändert.',
  'Save it when the test is over.': 'Speichern Sie, wenn der Test vorbei ist.',
  'a test is running on circuit {id}, which this changes.':
    'auf Stromkreis {id}, den das ändert, läuft ein Test.',
  'a test was running on circuit {id}, which this changes, when its controller was last heard; if the controller is gone for good, change the file itself, and start the host again.':
    'auf Stromkreis {id}, den das ändert, lief ein Test, als sein Steuergerät zuletzt gehört wurde; wenn es das Steuergerät nicht mehr gibt, ändern Sie die Datei selbst und starten Sie den Host neu.',
  'a test was running on circuit {id}, which this changes, when its controller was last heard; if the controller is gone for good, start the host again.':
    'auf Stromkreis {id}, den das ändert, lief ein Test, als sein Steuergerät zuletzt gehört wurde; wenn es das Steuergerät nicht mehr gibt, starten Sie den Host neu.',
  'a tester fault is reported on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'Stromkreis {id} meldet eine Störung der Prüfeinrichtung, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, ändern Sie die Datei selbst und starten Sie den Host neu.',
  'a tester fault is reported on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'Stromkreis {id} meldet eine Störung der Prüfeinrichtung, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, starten Sie den Host neu.',
  'the mains is missing on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'Stromkreis {id} ist ohne Netz, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, ändern Sie die Datei selbst und starten Sie den Host neu.',
  'the mains is missing on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'Stromkreis {id} ist ohne Netz, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, starten Sie den Host neu.',
  'tests are held on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'auf Stromkreis {id} sind die Tests angehalten, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, ändern Sie die Datei selbst und starten Sie den Host neu.',
  'tests are held on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'auf Stromkreis {id} sind die Tests angehalten, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, starten Sie den Host neu.',
  'the supply is not proven on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'auf Stromkreis {id} ist die Versorgung nicht nachgewiesen, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, ändern Sie die Datei selbst und starten Sie den Host neu.',
  'the supply is not proven on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'auf Stromkreis {id} ist die Versorgung nicht nachgewiesen, und die Meldung darüber ginge mit verloren; wenn es den Stromkreis nicht mehr gibt, starten Sie den Host neu.',
  'Saved, and entered in the log book.': 'Gespeichert und ins Prüfbuch eingetragen.',
  'The host is taking it over.': 'Der Host übernimmt es gerade.',
  'This is a demonstration, and its building is fixed.':
    'Dies ist eine Vorführung, und ihr Gebäude steht fest.',
  'Start the host with a site file of your own, nightproof serve SITE.yaml, to change it here.':
    'Starten Sie den Host mit einer eigenen Anlagendatei, nightproof serve SITE.yaml, um sie hier zu ändern.',
  'This host was started with a site that stays as it is.':
    'Dieser Host wurde mit einem Gebäude gestartet, das so bleibt, wie es ist.',
  '{n} to {n2} characters': '{n} bis {n2} Zeichen',
  'a real date, YYYY-MM-DD': 'ein wirkliches Datum, JJJJ-MM-TT',
  'must be {said}, but is {text}; write {text2}.':
    'verlangt ist {said}, angegeben ist {text}; schreiben Sie {text2}.',
  'must be {said}, but is {text}; did you mean {text2}?':
    'verlangt ist {said}, angegeben ist {text}; ist {text2} gemeint?',
  'must be {said}, but is {text}.': 'verlangt ist {said}, angegeben ist {text}.',
  'is missing; it must be {said}.': 'fehlt; verlangt ist {said}.',
  'is missing; write it for the luminaire or once for its circuit.':
    'fehlt; geben Sie es bei der Notleuchte an oder einmal bei ihrem Stromkreis.',
  'is missing; a {mode} luminaire is lit on mains, so write its current.':
    'fehlt; in dieser Betriebsart ({mode}) leuchtet sie am Netz, geben Sie also ihren Strom an.',
  'the emergency lamp of a {mode} luminaire is dark on mains; remove this field.':
    'in dieser Betriebsart ({mode}) ist die Notlampe am Netz dunkel; leeren Sie dieses Feld.',
  'there is another {thing} "{id}"; give each one its own id.':
    'die Kennung „{id}“ ist schon vergeben ({thing}); jede muss eine eigene haben.',
  'no luminaire is in area "{id}" or lights it; name it as area or in serves of a luminaire, or remove it.':
    'keine Notleuchte steht im Bereich „{id}“ oder beleuchtet ihn; wählen Sie ihn bei einer Notleuchte, oder entfernen Sie ihn.',
  'circuit "{id}" has {n} luminaires, but a controller has {n2} sensor inputs; move the rest to another circuit.':
    'Stromkreis „{id}“ hat {n} Notleuchten, ein Steuergerät hat aber {n2} Sensoreingänge; legen Sie die übrigen in einen anderen Stromkreis.',
  'only a shared circuit waits for an empty area; remove this field.':
    'nur ein gemeinsamer Stromkreis wartet, bis der Bereich leer ist; leeren Sie dieses Feld.',
  'people sleep in area "{id}", which counts as always occupied; remove this field.':
    'im Bereich „{id}“ schlafen Menschen, er gilt als immer besetzt; leeren Sie dieses Feld.',
  '{id} is after today, {id2}; write the date on which the battery was fitted.':
    '{id} liegt nach heute, {id2}; geben Sie das Datum an, an dem die Batterie eingebaut wurde.',
  'There is no {thing} "{id}" in the site file any more; load the page again.':
    '„{id}“ ({thing}) gibt es in der Anlagendatei nicht mehr; laden Sie die Seite neu.',
  'No one is recorded as working there.': 'Dort ist niemand als bei der Arbeit eingetragen.',
  'That time is already over; give a later end.':
    'Diese Zeit ist schon vorbei; geben Sie ein späteres Ende an.',
  'The time must be at least {n} min.': 'Die Zeit muss mindestens {n} min betragen.',
  'There is no plan yet; run the host with this site first.':
    'Es gibt noch keinen Plan; lassen Sie zuerst den Host mit diesem Gebäude laufen.',
  'The site file does not allow tests on {id}.': 'Die Angaben zum Gebäude erlauben am {id} keine Tests.',
  'The log book holds no complete test of circuit {id} as it is wired now.':
    'Das Prüfbuch enthält keinen vollständigen Test von Stromkreis {id}, so wie er jetzt verdrahtet ist.',
  'Test it first.': 'Testen Sie ihn zuerst.',
  'Every luminaire of circuit {id} is judged by measured currents already.':
    'Jede Notleuchte von Stromkreis {id} wird schon nach gemessenen Strömen beurteilt.',
  'No {kind} has judged it by its measured currents yet.':
    'Noch kein {kind} hat sie nach den gemessenen Strömen beurteilt.',
  'Circuit {id} has no luminaire {id2}.': 'Im Stromkreis {id} gibt es keine Notleuchte {id2}.',
  'Circuit {id} has no open defect.': 'Stromkreis {id} hat keinen offenen Mangel.',
  'Luminaire {id} has no open defect.': 'Notleuchte {id} hat keinen offenen Mangel.',
  'The due date {id} is more than ten years away; give one up to {id2}.':
    'Der Termin {id} liegt mehr als zehn Jahre entfernt; geben Sie einen bis {id2} an.',
  'Give an owner, a due date, an interim measure or a remark; nothing was entered.':
    'Geben Sie einen Zuständigen, einen Termin, eine Zwischenmaßnahme oder eine Bemerkung an; nichts wurde eingetragen.',
  'The log book has no entry {n}.': 'Das Prüfbuch hat keinen Eintrag {n}.',
  'Entry {n} is no repair and no inspection of this site: nothing else can be withdrawn.':
    'Eintrag {n} ist keine Reparatur und keine Begehung dieses Gebäudes: anderes kann nicht zurückgezogen werden.',
  'Entry {n} was withdrawn before, by {text} on {day}.':
    'Eintrag {n} wurde schon zurückgezogen, von {text} am {day}.',
  'Entry {n} was withdrawn before.': 'Eintrag {n} wurde schon zurückgezogen.',
  'Say why it is withdrawn.': 'Geben Sie an, warum er zurückgezogen wird.',
  'Give the time at which it was done.': 'Geben Sie an, wann es getan wurde.',
  'The controller is updated within a minute or two.': 'Das Steuergerät erhält das in ein bis zwei Minuten.',
  'The battery was probably changed; write its date into the site file (batteryFitted).':
    'Die Batterie wurde wahrscheinlich gewechselt; tragen Sie ihr Einbaudatum beim Gebäude ein (batteryFitted).',
  'Too little data: {said}.': 'Zu wenige Daten: {said}.',
  '{n} of {n2} failures are of batteries whose date is not in the site file; write it there (batteriesBefore)':
    '{n} von {n2} Ausfällen betreffen Batterien, deren Datum nicht in der Anlagendatei steht; tragen Sie es dort ein (batteriesBefore)',
  '{n} seen to last and later fall short from age; {n2} are needed':
    '{n} haben erst gehalten und später durch Alterung nicht mehr; {n2} sind nötig',
  'the known lives do not yet tell short from long ones':
    'die bekannten Lebensdauern lassen kurze und lange noch nicht unterscheiden',
  'Probably lasts its rated duration until {month}; 90 % of such batteries fall short between {month2} and {month3}.':
    'Hält ihre Bemessungsbetriebsdauer voraussichtlich bis {month}; 90 % solcher Batterien erreichen sie zwischen {month2} und {month3} nicht mehr.',
  now: 'heute',
  'after {n}': 'nach {n}',
  'An estimate from {n} batteries of its type that failed from age.':
    'Eine Schätzung aus {n} Batterien ihres Typs, die durch Alterung ausfielen.',
  'Tests can be started on demand from {moment} to {moment2}; the controller is updated within a minute or two.':
    'Tests können von {moment} bis {moment2} auf Befehl gestartet werden; das Steuergerät erhält das in ein bis zwei Minuten.',
};
