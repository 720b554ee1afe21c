# Alles, was das Fenster von Leverlane sagt, auf Deutsch.

## Places

place-piece = Stück
place-harp = Harfe
place-drill = Üben
place-diary = Tagebuch
place-go = Zu { $place }

## Music

sharp = Kreuz
flat = B
and = und
lever-up = hoch
lever-down = herunter
hand-left = linke Hand
hand-right = rechte Hand
hand-left-letter = L
hand-right-letter = R
bar-and-beat = { $time ->
    [1] Takt { $bar }, Schlag { $beat }
   *[other] Takt { $bar }, Schlag { $beat }, { $time }. Mal
 }
bar-numbered = Takt { $bar }
bar-gone = ein Takt, den es nicht mehr gibt
tempo = { $number } { $unit } in der Minute
a-minute = { $unit } in der Minute
unit-quarters = Viertel
unit-eighths = Achtel
unit-halves = Halbe
unit-dotted-quarters = punktierte Viertel
unit-dotted-halves = punktierte Halbe
unit-dotted-eighths = punktierte Achtel
unit-other = Schläge zu { $quarters } Vierteln
chunk-flip-bar = nur der Takt der Klappe
chunk-bar-each-side = ein Takt beiderseits
chunk-two-bars-each-side = zwei Takte auf jeder Seite
chunk-whole-piece = das ganze Stück
bar-through = { $time ->
    [1] { $bar }
   *[other] { $bar }, { $time }. Mal
 }
chunk-bars = Takte { $from } bis { $to }
chunk-own-bars = eigene Takte
join-earlier = und der Wechsel davor
join-later = und der Wechsel danach
pace-beginner = Anfänger
pace-improver = Fortgeschrittenen
pace-fluent = geläufigen
pace-expert = Meister
pace-measured = eigenen (× { $factor })
pace-measure = eigenen, aus dem Tagebuch
pace-measure-why = Aus den Tempi, die du in diesem Stück mit beiden Händen gehalten hast: um wie viel langsamer oder schneller deine Hände sind als geläufige.
pace-unknown = Das Tagebuch kennt die Geschwindigkeit deiner Hände noch nicht: Es braucht drei Klappenwechsel dieses Stücks, mit beiden Händen gehalten unter dem Tempo, auf das du hinarbeitest. Übe sie auf der Leiter.
pace-found = Jetzt für deine eigenen Hände geplant: Die gehaltenen Tempi verlangen das { $factor }-Fache der Zeit geläufiger Hände.
harp-range = { $strings } Saiten, { $low }–{ $high }
harp-own = eigene { $strings } Saiten
string-named = die { $name }-Saite
string-numbered = Saite { $number }

## What can't be done, and what helps

problem-off-the-harp = { $notes } liegt außerhalb dieser Harfe
problem-not-in-tuning = { $notes } ist aus dieser Stimmung auf keiner Saite zu erreichen
problem-no-lever = { $notes } bräuchte eine Klappe, die seine Saite nicht hat
problem-same-string = { $notes } brauchen dieselbe Saite auf zwei Arten zugleich
problem-no-room = kein Platz für eine Klappe zwischen { $notes }
problem-rushed = zu wenig Zeit für die Klappe vor { $notes }
problem-edit-not-met = deine eigene Wahl für { $notes } ist nicht zu erfüllen
problem-refused = Dein Wunsch: { $decision }. Das geht nicht: { $reason }
refused-no-such-bar = diesen Takt hat das Stück nicht mehr
refused-outside-the-bar = so lang ist der Takt nicht
refused-no-such-string = diese Saite hat die Harfe nicht
refused-no-lever = die Saite hat keine Klappe
refused-no-such-note = diesen Ton gibt es nicht mehr
refused-string-cannot-sound = diesen Ton hat die Saite weder offen noch erhöht
refused-not-needed = dort wird kein solcher Wechsel gebraucht
refused-outside-the-window = der Wechsel muss zwischen zwei Tönen seiner Saite liegen
refused-collides = dieselbe Hand ist auf diesem Schlag schon an einer anderen Klappe
refused-needed-by-the-loop = ohne ihn kann das Stück nicht von vorn beginnen
problem-this-moment = diesem Augenblick
problem-many-places = : { $count } Stellen, mit × im Streifen
problem-also = { $count ->
    [1] ; auch in Takt { $bars }
   *[other] ; auch in den Takten { $bars }
 }
problem-also-more = ; auch in den Takten { $bars } und { $more } weiteren
problem-show = Zeigen
problem-show-named = { $place } zeigen
problem-no-way = Es hat sich kein Ausweg gefunden, der hilft.
way-slower = Langsamer: { $tempo }
way-tuning = Harfe auf { $tuning } stimmen
way-hand = { $string } umlegen: { $hand }
way-place = { $string } umlegen: { $place }
way-harp = Eine Harfe mit { $harp } nehmen, gestimmt auf { $tuning }
way-retune = Vor dem Anfang { $string } auf { $pitch } stimmen
way-damp = { $decision }, und vorher die Saite abdämpfen
way-withdraw = Zurücknehmen: { $decision }
way-forbid = { $string } nicht umlegen für { $place }
way-string = { $note } ({ $place }) spielen auf: { $string }
way-preset = Vor dem Anfang stellen: { $string } { $state }

## The head

app-name = Leverlane
head-reading = liest …
head-planning = plant …
head-open = Öffnen …
head-open-spoken = Datei öffnen
head-help = Hilfe
head-save = Speichern
head-more = Mehr
more-demo = Beispielstück öffnen
more-save-as = Speichern unter …
more-save-harp = Harfe speichern …
more-settings = Einstellungen
about = Über Leverlane
about-copy = Version und Lizenzen kopieren
more-warnings = Alles anders Gelesene
more-hands = Wer was spielt
more-recent = Zuletzt geöffnet
undo = Zurück
redo = Wieder vor

## Welcome

welcome-waiting = Einen Augenblick: die Klappen werden gesucht …
welcome-question = Welches Stück soll es sein?
welcome-what = Leverlane findet die Klappenwechsel eines Stücks auf deiner Harfe und wiederholt jeden, bis er sitzt.
welcome-open = Noten öffnen …
welcome-open-spoken = Noten öffnen
welcome-demo = Das Beispielstück ausprobieren
welcome-formats = MusicXML (.musicxml, .xml, .mxl), MIDI oder ABC; eine Datei lässt sich auch auf das Fenster ziehen.

## Files

demo-piece = das Beispielstück
dialog-open = Stück oder Harfe öffnen
dialog-save = Stück speichern
dialog-pieces = Stücke
dialog-save-harp = Harfe speichern
dialog-harps = Harfen
dialog-scores = Noten
dialog-all-files = Alle Dateien
dialog-none = Diese Oberfläche zeigt keinen Dateidialog; zieh die Datei auf das Fenster oder starte mit leverlane DATEI
file-remarks = { $more ->
    [0] { $name }: { $first }
   *[other] { $name }: { $first } (und { $more } weitere Bemerkungen)
 }

## Messages

notice-error = Nicht getan
notice-remark = Hinweis
notice-copy = Kopieren
notice-copy-spoken = Meldung kopieren
notice-dismiss = Weg damit
notice-dismiss-spoken = Meldung wegnehmen
silence = Kein Ton
silence-dismiss-spoken = Bemerkung über den Ton wegnehmen

## Piece

sentence-harp = Auf einer Harfe mit
sentence-harp-spoken = Harfe: { $harp }
sentence-tuning = gestimmt auf
sentence-tuning-spoken = Stimmung: { $tuning }
sentence-tuning-mixed = eine eigene Stimmung
sentence-pace = mit
sentence-pace-spoken = Geschwindigkeit: { $pace } Hände
sentence-goal = Händen, gewünscht
goal-lower-spoken = Gewünschtes Tempo senken
goal-raise-spoken = Gewünschtes Tempo erhöhen
forget-edits = Meine Wahl vergessen
set-up-none-heading = Stell zuerst die Klappen
set-up-none = alle herunter
set-up-heading = Stell zuerst diese Klappen hoch, alle anderen herunter
set-up-spoken = Hochstellen: { $levers }
set-up-harp-spoken = Die Harfe mit ihren Klappen; hoch stehen: { $levers }
levers-none = keine
levers-every = jedes { $letters }
levers-but = jedes { $letter } außer { $strings }
list-and = { $first } und { $last }
piece-drill = Diese Klappe üben
piece-drill-spoken = Klappe { $flip } üben, { $place }
piece-no-flips = In diesem Stück ist nichts umzulegen: Klappen stellen und spielen.
piece-play = Stück spielen
piece-play-bars = { $bars } spielen
piece-choose-bars = Takte wählen: über die Noten ziehen.
piece-move-flips = Einen Wechsel auf einen anderen Schlag ziehen.

## The flips

flips-count = { $count ->
    [0] Keine Wechsel
    [1] Ein Wechsel
   *[other] { $count } Wechsel
 }
flips-unplayable = { $count } nicht spielbar
flips-rushed = { $count } zu knapp
flips-respelled = { $count } umgedeutet, um Wechsel zu sparen
flips-problems = { $count ->
    [1] Zeige das Problem
   *[other] Nächstes von { $count } Problemen
 }
proof-best = Der bestmögliche Plan
proof-unplayable = Bestenfalls { $gap } weniger nicht spielbar
proof-rushed = Bestenfalls { $gap } weniger zu knapp
proof-work = Höchstens { $gap } über dem Bestmöglichen (ein Wechsel zählt 10, ein umgedeuteter Ton 4)
proof-comfort = Bestmöglich bis auf die Bequemlichkeit, höchstens { $gap } darüber
repeat-time = { $time }.
repeat-place = Takt { $bar }, { $times } Mal: anders als beim ersten
repeat-differs = { $what }: { $then }; beim ersten Mal { $first }
repeat-flip-at = Schlag { $beat }, { $hand }
repeat-no-flip = nicht in diesem Takt
repeat-note = { $note } auf Schlag { $beat }
repeat-not-played = nicht gespielt
top-any = in jedem Tempo
top-none = in keinem Tempo
top-up-to = bis { $tempo } in der Minute
time-free = braucht { $needed } s, nichts drängt
time-rushed = ! zu knapp: braucht { $needed } s, hat { $available } s
time-enough = braucht { $needed } s, hat { $available } s

## The strip

score-failed = Die Noten lassen sich nicht zeichnen und stehen darum als Saiten da: { $reason }
score-spoken-pass = Noten von { $bars } Takten mit { $flips } Wechseln. Der letzte Durchgang: { $hit } Töne kamen, { $missed } nicht, { $wrong } mit falscher Klappe, { $unheard } nicht gehört.
score-spoken = Noten von { $bars } Takten mit { $flips } Wechseln
piece-show-strings = Als Saiten zeigen
piece-show-notes = Als Noten zeigen
strip-spoken = Streifen von { $bars } Takten mit { $flips } Wechseln auf { $strings } Saiten
strip-flip-spoken = Wechsel { $flip }, { $hand }, { $place }
strip-reset-spoken = Zurückstellen { $flip }, { $hand }, vor dem nächsten Durchgang
strip-levers-back = zurückstellen
strip-now = jetzt
strip-start = Anfang
whole-spoken = Das ganze Stück, { $bars } Takte
whole-looped-spoken = Das ganze Stück, { $bars } gespielte Takte; wiederholt: { $from } bis { $to }

## Drill

drill-no-loop = Diese Schleife geht nicht: { $reason }
drill-empty = Öffne zuerst ein Stück: Geübt wird einer seiner Klappenwechsel.
drill-open-piece = Zum Stück
then-nothing = Dann ist nichts umzulegen. { $key } spielt das Stück.
then-whole = Dann spielt { $key } das ganze Stück.
then-loop = Dann wiederholt { $key } den Wechsel { $flip }, { $hand }, { $place }.
next-flip = Nächster Wechsel
next-none = Keine Wechsel in dieser Schleife
next-counting-in = Einzählen. Der erste Wechsel:
next-spoken = Nächster Wechsel: { $flip }, { $hand }, { $place }, { $when }
next-reset = zurück für den nächsten Durchgang
count-now = jetzt
count-next = auf dem nächsten Schlag
count-beats = in { $beats } Schlägen
start = Los
start-spoken = Schleife starten
stop = Halt
stop-spoken = Schleife anhalten
previous = Voriger
previous-spoken = Voriger Wechsel
next = Nächster
next-button-spoken = Nächster Wechsel
slower-spoken = Langsamer üben
faster-spoken = Schneller üben
tempo-spoken = Übetempo: { $tempo }
to-goal = auf { $tempo }
to-goal-spoken = Im gewünschten Tempo üben
loop = Schleife
loop-begin-earlier = einen Takt früher beginnen
loop-begin-later = einen Takt später beginnen
loop-end-earlier = einen Takt früher enden
loop-end-later = einen Takt später enden
loop-spoken = Schleife: { $size }
voice-click = Klick
settings-click = Klick
click-usual = wie üblich
click-high = hoch und leise
click-high-hint = Einen hohen Klick unterscheidet das Mikrofon leichter von deiner Harfe; so werden die Zeiten von mehr Tönen auf dem Schlag genau. Aber bei 9,5 kHz hören ihn viele, vor allem Ältere, nicht: Probier, ob du ihn hörst, aber dreh dazu nicht lauter. Mit ihm ist der Schlag zu sehen; { $key } verdeckt ihn oder zeigt ihn wieder.
voice-cue = Zeichen
voice-notes = Töne
voice-guide = Stichnoten
voice-spoken = Lautstärke: { $voice }
hand-heard = { $hand } an
hand-silent = { $hand } stumm
hand-spoken = Zu hören: { $hand }

## Practice on a ladder

ladder = Leiter
ladder-spoken = Diesen Wechsel auf einer Tempoleiter üben
ladder-leave = Leiter verlassen
ladder-leave-spoken = Die Leiter verlassen und in eigenem Tempo wiederholen
practice-rung = Stufe { $rung } von { $rungs }, bis { $goal }
practice-spoken = Stufe { $rung } von { $rungs }, { $tempo }; { $clean } von { $needed } Durchgängen hintereinander sauber
practice-in-a-row = sauber hintereinander
practice-begin = Spiel die Schleife. Das rechte Pedal meldet den Wechsel, das linke sagt, dass der Durchgang misslang.
practice-steady = Sauber.
practice-not-yet = Noch nicht.
practice-unheard = Nicht gezählt.
practice-nothing-told = Weder getippt noch gesagt: Der Durchgang zählt nicht.
practice-up = Eine Stufe höher.
practice-down = Eine Stufe tiefer.
practice-reached = Das Ziel sitzt.
practice-stops = Dreimal von dieser Stufe zurück. Mach es leichter:
practice-pause = Du hast 50 Minuten gespielt. Gönn Händen, Rücken und Ohren { $minutes } Minuten Ruhe.
practice-said = Das hast du selbst gesagt.
offer-smaller = Weniger Musik: { $size }
offer-larger = Mehr Musik: { $size }
offer-layer = { $layer }
offer-go-on = Weiter: { $layer }
layer = Gespielt wird
layer-flip-alone = der Wechsel allein, im Rhythmus
layer-flipping-hand = die Hand, die umlegt
layer-other-hand = die andere Hand blind
layer-both = beide Hände
layer-spoken = Gespielt wird: { $layer }
speech = laut zählen
speech-spoken = Zählzeiten und Wechsel sprechen
cues = Hilfen
cues-everything = alle
cues-tone = Zeichen und Klick
cues-click = Klick
cues-every-other = Klick in jedem zweiten Takt
cues-count-in = nur Einzählen
cues-spoken = Hilfen: { $cues }
cues-fade = werden von selbst weniger
cues-fade-spoken = Die Hilfen weniger werden lassen, wenn Durchgänge sauber sind
pedal-right-tap = rechtes Pedal: der Wechsel, jetzt
pedal-left-wrong = linkes Pedal: misslungen (zweimal: anhalten)
pedal-right-start = rechtes Pedal: Start
pedal-left-next = linkes Pedal: nächster Wechsel
mark-clean = sauber
mark-missed = nicht sauber
mark-unheard = nicht gezählt
lesson-place = { $title }: { $chunk } von { $chunks }

## What is to be mended

mend-flip-missed = Die Klappe { $lever } blieb { $was }: Leg sie { $to }, ehe die Saite wieder gezupft wird.
mend-flip-half = Die Klappe { $lever } ging nur einen Teil ihres Wegs: Führ sie ganz durch.
mend-flip-half-cents = Die Klappe { $lever } ging nur einen Teil ihres Wegs ({ $cents } von 100 Cent): Führ sie ganz durch.
mend-flip-late = Die Klappe { $lever } bewegte sich erst nach dem Zupfen: Lass die Hand früher los.
mend-tap-late = Der Wechsel von { $lever } kam { $ms } ms nach seiner Zählzeit: Zähl ihn laut mit.
mend-tap-early = Der Wechsel von { $lever } kam { $ms } ms vor seiner Zählzeit: Zähl ihn laut mit.
mend-lever-wrong = Die Klappe der Saite { $string } stand falsch: Prüf die Klappen, ehe du anfängst.
mend-waited = Die Musik wartete { $ms } ms ({ $share } % eines Schlags) auf den Wechsel von { $lever }: Zähl durch.
mend-hurried = Die Musik eilte um { $ms } ms ({ $share } % eines Schlags) über den Wechsel von { $lever } hinweg: Lass ihm Zeit.
mend-notes-missed = { $missed } von { $expected } Tönen kamen nicht: Nimm es langsamer oder mit einer Hand.
mend-notes-extra = Töne zu viel: { $extra }. Schau, wo die Finger landen.
mend-uneven = Die Töne streuen um { $ms } ms um den Klick: Hör bei jedem Schlag auf ihn.
mend-flip-unheard = Der Wechsel von { $lever } war nicht zu hören; es zählt nicht gegen dich.
mend-nothing-heard = Es war nichts zu hören; es zählt nicht gegen dich.

## Diary

diary-empty-title = Noch nichts geübt
diary-empty = Was du übst, wird hier stehen, Wechsel für Wechsel und Tag für Tag.
diary-go = Einen Wechsel üben
diary-exported = Alles steht jetzt in { $path }.
diary-week = Diese Woche
diary-week-says = Minuten an jedem Tag; gefüllt: der Anteil sauberer Durchgänge.
diary-week-spoken = Die letzten sieben Tage: { $minutes } Minuten, { $passes } Durchgänge, davon { $clean } sauber
diary-due = Heute fällig
diary-due-none = Nichts ist fällig. Komm morgen wieder.
diary-due-says = Wechsel kommen nach 1, 2, 4, 8, 16 und 30 Tagen wieder, solange sie saßen.
diary-flips = Wechsel
diary-flips-says = ● sitzt: im Zieltempo gehalten und an einem anderen Tag noch gekonnt. ◐ wackelt. ○ nicht begonnen.
diary-tempo = Höchstes gehaltenes Tempo
diary-tempo-says = Das schnellste sauber gehaltene Tempo jedes Tages, in Vierteln je Minute: ● beide Hände, ◇ in Teilen.
diary-steadiness = Streuung und Zögern
diary-steadiness-says = ● wie weit Töne streuen, in ms; ◇ wie lang der Wechsel die Musik aufhält, in Hundertsteln eines Schlags.
diary-share = Saubere Durchgänge
diary-share-says = So viele von hundert Durchgängen jedes Tages waren sauber.
diary-export = Alles ausgeben
diary-delete = Alles löschen
diary-delete-really = Alles endgültig löschen
diary-keep = Behalten
diary-size = { $size } MB in { $path }. Nichts davon verlässt von selbst diesen Rechner.
diary-since = { $flip }, { $piece }: seit { $days } Tagen
diary-since-today = { $flip }, { $piece }: heute
diary-students = Schüler
diary-students-says = Aus ihren Ergebnissen: schnellstes gehaltenes Tempo in Vierteln je Minute und saubere Durchgänge.
diary-student = { $student }: { $held }, { $clean } von { $judged } sauber
diary-name = Dein Name
diary-results = Ergebnisse für die Lehrkraft
standing-ready = sitzt
standing-shaky = wackelt
standing-not-begun = nicht begonnen

## Help

sheet-back = Zurück
sheet-back-spoken = Diese Seite schließen
help-keys = Tasten und Pedale
help-reading = Wie der Streifen zu lesen ist
help-cautions = Schone Ohren und Hände
help-key-start = Schleife starten, anhalten
help-key-next = nächster Wechsel
help-key-previous = voriger Wechsel
help-key-tempo = schneller, langsamer üben
help-key-goal = im gewünschten Tempo üben
help-key-ladder = Leiter; sauber, misslungen; der Wechsel, jetzt
help-key-size = mehr, weniger Takte; auch der davor, danach
help-key-ends = Schleife vorn, hinten länger; Noten oder nicht
help-key-wanted = gewünschtes Tempo erhöhen, senken
help-key-regulating = Klappen prüfen, Harfe stimmen
help-key-harp = nächste Harfe, Stimmung, Geschwindigkeit
help-key-listening = zuhören; durch Klopfen messen; den Schlag zeigen
help-key-voices = Klick, Zeichen, Töne: leiser, lauter
help-key-hands = linke, rechte Hand zu hören oder stumm
help-key-files = öffnen, speichern, Beispielstück
help-key-move = Wechsel früher, später legen
help-key-edit = andere Hand, festlegen, vorher stellen, weglassen
help-key-places = Stück, Harfe, Üben, Tagebuch
help-key-undo = zurück, wieder vor
help-key-escape = diese Seite oder eine Meldung schließen, anhalten
help-reading-1 = Die Zeit läuft nach links; was auf der senkrechten Linie steht, klingt jetzt.
help-reading-2 = Jede Saite ist eine Linie. Wo ihre Klappe hochgeht, steigt die Linie eine Stufe, wo sie heruntergeht, fällt sie.
help-reading-3 = Ringe zupft die rechte Hand, Rauten die linke; der Schweif ist die geschriebene Länge.
help-reading-4 = Ein Zeichen wie L Fis↑ sagt: linke Hand, die Klappe für Fis, hoch. Zeigt seine Spitze nach links, gehört es der linken Hand, nach rechts der rechten. Ein Zeichen mit ! hat im gewünschten Tempo zu wenig Zeit.
help-reading-5 = Auf den Noten der Schleife ist ein runder Schein die rechte Hand, ein spitzer die linke. Nach einem gehörten Durchgang: ein Ring um einen Ton, der kam, ein Kreuz auf einem, der nicht kam, ein Keil um eine falsche Klappe, Punkte um einen, der nicht zu hören war. Takte wählt man, indem man über die Noten zieht.
help-caution-1 = Leise beginnen: Ein Klick im Kopfhörer muss nicht lauter sein als die Harfe. Über Stunden summiert sich der Schall.
help-caution-2 = Hör auf, wenn etwas schmerzt, kribbelt oder taub wird, und mach in jeder Stunde zehn Minuten Pause.
help-caution-3 = Greif mit dem ganzen Arm zur Klappe, die Schulter tief; fang langsam an und steigere das Tempo in kleinen Schritten.
help-caution-4 = Halte beim Umstimmen das Gesicht von der Saite weg: Eine zu hoch gestimmte Saite kann reißen.
help-version = Leverlane { $version }, MIT OR Apache-2.0. Schrift: Libertinus Serif, SIL Open Font License 1.1.

## Changing a flip

edit-flip = Dieser Wechsel:
edit-earlier = Früher
edit-later = Später
edit-give = { $hand }
edit-lock = Hier festlegen
edit-unlock = Dem Plan überlassen
edit-preset = Vorher stellen
edit-forbid = Weglassen
edit-drag-cost = { $place }: { $state ->
    [rushed] zu knapp
   *[other] kostet { $cost }
 }
edit-drag-here = { $place }: wie jetzt

## Questions

question-save = „{ $title }“ vorher speichern?
question-save-why = Was du dazu entschieden hast, steht noch in keiner Datei.
question-save-yes = Speichern
question-save-no = Nicht speichern
question-cancel = Abbrechen
question-recover = Etwas blieb ungespeichert
question-recover-why = Als Leverlane zuletzt endete, war dies nicht gespeichert.
question-recover-yes = „{ $title }“ wieder aufnehmen
question-recover-later = Nächstes Mal fragen
question-recover-no = Wegwerfen
question-recover-safe = Was du aufnimmst, bleibt sicher, bis du es speicherst.

## Settings

settings = Einstellungen
settings-language = Sprache
settings-notes = Namen der Töne
settings-octaves = Oktaven
octaves-scientific = das eingestrichene C ist C4
octaves-harpists = wie Harfenisten zählen, C4 heißt 4C
settings-colours = Farben
colours-system = wie das System
colours-light = hell
colours-dark = dunkel
settings-side = Bild der Harfe
side-bass-left = Bass links
side-bass-right = Bass rechts
settings-distance = Von wo du liest
distance-near = vom Tisch
distance-far = von der Harfe, einen Meter und mehr
settings-movement = Bewegung
movement-gliding = der Streifen gleitet
movement-stepping = der Streifen steht, nur die Linie rückt
settings-midi = Pedal, das MIDI spricht
midi-none = keines
midi-look = Geräte suchen
midi-what = Beim Üben ist das Haltepedal das rechte Pedal, das Leisepedal das linke, und jede Taste klopft den Klappenwechsel. Ein Blätterpedal braucht hier nichts.
midi-joined = Es wird gehört: Beim Üben ist das Haltepedal das rechte Pedal, das Leisepedal das linke, und jede Taste klopft den Klappenwechsel.
warnings = Anders gelesen, als es dasteht
warnings-whole = ganzes Stück
warnings-copy = Alles kopieren
unmet-nothing-to-flip = Das Klappenzeichen { $mark } ändert nichts: Es gilt als Erinnerung.
unmet-on-its-note = Das Klappenzeichen { $mark } steht genau auf der Note, die die Klappe braucht; umgelegt wird stattdessen davor.
unmet-no-such-string = Das Klappenzeichen { $mark } verlangt, was auf dieser Harfe keine Saite kann: Wähle eine andere Stimmung oder lass es.
tunes = { $count } Stücke in { $name }
tunes-choose = Wähle das, das du spielen willst; die Datei bleibt, wie sie ist.

## Who plays what

hands = Wer was spielt
hands-parts = Die Harfe spielt
hands-part = Stimme { $number }
hands-part-spoken = Die Harfe spielt: { $part }
hands-cue-line = Stichnoten
hands-cue-line-what = Eine Stimme, die klein über der Harfe stehen bleibt und zur Führung zu hören ist; solange das Mikrofon neben einem Lautsprecher zuhört, schweigt sie.
hands-cue-line-none = keine
hands-cue-line-spoken = Stichnoten: { $part }
hands-whole = Hände
hands-whole-spoken = Hände: { $way }
hands-usual = wie üblich
hands-by-staff = oberes System rechts, die anderen links
hands-by-voice = höchste Stimme rechts, die anderen links
hands-by-part = obere Stimmen rechts, untere links
hands-split = ab { $pitch } aufwärts rechts
hands-all-left = alles links
hands-all-right = alles rechts
hands-split-lower = Hände eine Saite tiefer teilen
hands-split-raise = Hände eine Saite höher teilen
hands-bars = Andere Hände in einigen Takten
hands-range = Takte { $first } bis { $last }: { $way }
hands-from = von Takt
hands-to = bis Takt
hands-bars-spoken = Hände in diesen Takten: { $way }
hands-bars-add = Diese Takte dazu
hands-bars-remove = Entfernen
hands-bars-remove-spoken = Entfernen: { $range }
hands-no-such-bars = Das Stück hat die Takte { $first } bis { $last }; gib zwei davon an, den früheren zuerst.

## From paper

more-paper = Vom Papier abschreiben
welcome-paper = Vom Papier abschreiben
paper = Vom Papier
paper-untitled = Vom Papier
paper-way-flips = Nur die Wechsel
paper-way-notes = Die Noten beider Hände
paper-title = Titel
paper-tempo = Schläge in der Minute
paper-key = Kreuze (B unter 0)
paper-bars = Takte
paper-flips = Ein Wechsel je Zeile, so geschrieben: bar 12 beat 4: C5 up
paper-right = Rechte Hand, in ABC: c d e f | ^f2 e2 |
paper-left = Linke Hand, in ABC: C,2 G,2 | C4 |
paper-read-flips = { $bars } Takte mit { $flips } Wechseln.
paper-read-notes = { $bars } Takte mit { $notes } Noten.
paper-make = Planen und üben
paper-nothing = Schreib etwas; es wird gelesen, während du schreibst.
paper-drawn-spoken = Das Getippte als Noten: { $bars } Takte, { $notes } Noten
paper-fault = Zeile { $line }: { $reason }

## Keys

key-space = Leertaste

## The harp

sentence-levers = mit Klappen auf
sentence-levers-spoken = Klappen: { $levers }
levers-on-every-string = jeder Saite
levers-on-letters = nur { $letters }
levers-by-hand = ausgewählten Saiten
lever-move-spoken = Klappe von { $string } vor dem Anfang { $state } stellen
string-spoken = Saite { $number }: { $pitch }, { $lever }
string-lever = Klappe { $state }
string-no-lever = keine Klappe
string-choose = Ist das deine Harfe? Wähle eine Saite, um sie zu ändern, oder klicke auf ihre Klappe.
string-heading = Saite { $number }: { $name }
string-open = klingt offen
string-open-spoken = Offene Saite gestimmt auf { $pitch }
string-has = und hat
string-has-lever = eine Klappe
string-has-none = keine Klappe
string-before = Vor dem Anfang
string-before-spoken = Klappe vor dem Anfang: { $state }
string-as-planned = wie geplant
string-caution = Stimme eine Saite nur auf das, wofür sie gemacht ist, das Gesicht von ihr abgewandt: Eine zu hoch gestimmte kann reißen.

## Listening

listen = Zuhören
listen-on = Hört zu
listen-spoken = Mit dem Mikrofon zuhören
listen-nothing-kept = Nichts Gehörtes wird behalten.
microphone-usual = übliches Mikrofon
microphone-look = Noch einmal nachsehen
microphone-spoken = Mikrofon: { $microphone }
headphones = Kopfhörer
headphones-spoken = Ich höre die Übung über Kopfhörer
heard = Gehört:
heard-spoken = Gehörte Saiten: { $strings }
level-spoken = Pegel des Mikrofons: { $level } dB
level-clipping = Das Mikrofon ist übersteuert: Stell es leiser oder rück es von der Harfe weg.
level-noisy = Zwischen den Tönen ist es laut im Raum: Rück das Mikrofon näher an die Harfe oder weg von dem, was brummt.
level-silence = Das Mikrofon liefert nur Stille: Sieh nach, ob es stumm ist oder die Datenschutzeinstellungen es Leverlane vorenthalten.
hand-yours = { $hand } selbst
pulse = Schlag zeigen
notes-engraved = Noten
notes-strings = Saiten
notes-hidden = nach Gefühl
notes-spoken = Die Musik als: { $notes }
notes-by-feel = Nach Gefühl: Die Musik ist verdeckt. { $key } zeigt sie wieder.
afar-clean-spoken = { $clean } von { $needed } sauber nacheinander
pulse-spoken = Den Schlag als bewegtes Zeichen zeigen
ear-opening = Das Mikrofon wird geöffnet …
ear-gone = Das Mikrofon ist weg: Schließ es wieder an oder wähl ein anderes. Bis es wieder da ist, geht das Üben mit dem Pedal weiter.
ear-changed = Das Mikrofon hat seine Einstellungen geändert und wird neu geöffnet. Bis dahin geht das Üben mit dem Pedal weiter.
ear-stopped = Das Mikrofon liefert keinen Ton mehr und wird neu geöffnet. Bis dahin geht das Üben mit dem Pedal weiter.
ear-none = Kein Mikrofon ließ sich öffnen ({ $reason }): Schließ eines an oder wähl ein anderes, oder mach mit dem Pedal weiter.
ear-refused = Das System gibt das Mikrofon nicht her ({ $reason }): Erlaub es Leverlane in den Datenschutzeinstellungen und schalt das Zuhören wieder ein.
ear-busy = Ein anderes Programm hält das Mikrofon ({ $reason }): Schließ jenes Programm oder wähl ein anderes Mikrofon.
ear-not-found = Ein Mikrofon namens „{ $name }“ gibt es gerade nicht: Schließ es an oder wähl ein anderes.
ear-rate = Das Mikrofon läuft mit { $found } Werten in der Sekunde, womit nichts zu hören ist: Wähl ein anderes.
ear-no-sound = Es gibt kein Tongerät, also sagt nichts, wann du spielen sollst: Schließ eines an, starte die Schleife und schalt das Zuhören wieder ein.
ear-no-thread = Das System hat nichts mehr frei, um zuzuhören: Schließ andere Programme und schalt das Zuhören wieder ein.
latency-unknown = Wie lange der Schall vom Lautsprecher zum Mikrofon braucht, ist für diese Geräte noch nicht bekannt.
latency-unknown-headphones = Wie lange der Schall braucht, ist für diese Geräte noch nicht bekannt: Halt den Kopfhörer ans Mikrofon und miss, oder klopf zu einem Klick mit.
latency-measure = Messen (8 Sekunden)
latency-again = Die Verzögerung neu messen
latency-running = Einen Augenblick Ruhe: { $played } von 7 Messtönen gespielt …
latency-not-heard = Das Mikrofon hat { $clear } von { $played } Messtönen gehört: Stell den Lautsprecher etwas lauter, halt den Kopfhörer ans Mikrofon oder klopf zu einem Klick mit.
latency-unsteady = Der Weg des Schalls ändert sich von Ton zu Ton um { $ms } ms, wie bei drahtlosen Geräten: Nimm zum Zuhören ein Kabel.
latency-no-clocks = Die Geräte haben zu wenig über ihre Uhren gesagt: Miss noch einmal.
latency-tap = Stattdessen mitklopfen
taps = Zum Klick mitklopfen
taps-why = Nur wo das Mikrofon den Klick nicht hört, etwa mit Kopfhörer. Du hörst { $listened } Klicks und klopfst dann { $tapped } weitere mit: mit dem Knöchel auf die Decke, oder auf einer Saite, so gleichmäßig du kannst. Es dauert etwa 14 Sekunden.
taps-doubt = Menschen klopfen etwa 10 bis 30 ms vor dem Klick; 20 ms sind dafür abgezogen, also stimmt das Ergebnis auf etwa 20 ms. Damit finden deine Töne ihren Platz; ob du im Ganzen zu früh oder zu spät bist, sagt es nicht. Wo das Mikrofon die Messtöne hört, sind sie sicherer.
taps-ask = Bereit zum Klopfen?
taps-ready = Gleich geht es los …
taps-listen = Hör zu
taps-now = Klopf jeden Klick mit
taps-ringing = Das Ergebnis kommt gleich …
taps-begin = Klicks starten
taps-count-spoken = { $clicks } von { $all } Klicks gespielt, { $taps } Klopfer gehört
taps-heard = Klopfer gehört: { $taps }
taps-needs-ear = Öffne zuerst das Mikrofon.
taps-surer = Diese Geräte sind mit Messtönen gemessen: { $ms } ms. Klopfen macht das nicht sicherer.
taps-known = Nach deinem Klopfen: etwa { $ms } ms. Es gilt für diese zwei Geräte; mit anderen klopf noch einmal.
taps-done = Nach deinem Klopfen: etwa { $ms } ms, auf 20 genau.
taps-too-few = { $found } Klopfer waren zu hören, mindestens 8 sind nötig: Klopf jeden Klick kräftig mit, nah am Mikrofon.
taps-uneven = Das Klopfen wich um { $ms } ms vom Klick ab; weniger als 50 ist nötig. Hör eine Weile zu und klopf dann mit.
taps-click-heard = Bei { $heard } von { $listened } Klicks vor deinem Klopfen war etwas zu hören. Wart sie ab; oder, wenn das Mikrofon den Klick hört, miss mit Messtönen.
clock-no-place = Was zu hören ist, lässt sich noch nicht einordnen: Miss diese Geräte, oder lass das Mikrofon den Klick hören.
clock-output = Der Ton stockte { $ms } ms: Jener Durchgang lässt sich nicht beurteilen.
clock-input = Das Mikrofon verlor { $ms } ms: Jener Durchgang lässt sich nicht beurteilen.
clock-way = Der Weg des Schalls zum Mikrofon hat sich um { $ms } ms geändert: Jener Durchgang lässt sich nicht beurteilen.
clock-wanders = Der Weg des Schalls zum Mikrofon wandert um { $ms } ms, wie bei drahtlosen Geräten: Nimm zum Zuhören ein Kabel.
clock-rate = Ein Tongerät läuft { $parts } Millionstel neben seinem Takt: Wähl ein anderes.
listened-begin = Spiel die Schleife: Was von jedem Durchgang zu hören war, steht dann hier.
practice-begin-heard = Spiel die Schleife: Das Mikrofon hört auf die Töne und auf den Wechsel. Die Pedale gelten auch.
practice-broken = Ein Teil des Durchgangs war nicht zu hören: Er zählt nicht.
practice-not-heard = Vom Durchgang war nichts zu hören: Er zählt nicht.
result-notes = { $hit } von { $expected } Tönen
result-wrong-lever = { $count } mit falscher Klappe
result-not-heard = { $count } nicht herauszuhören
result-extra = { $count } zu viel
result-flip-clean = Wechsel sauber
result-flip-late = Wechsel zu spät
result-flip-half = Wechsel nur halb
result-flip-half-cents = Wechsel nur halb ({ $cents } von 100 Cent)
result-flip-missed = Wechsel ausgelassen
result-flip-unheard = Wechsel nicht gehört
result-early = im Ganzen { $ms } ms zu früh
result-late = im Ganzen { $ms } ms zu spät
result-spread = Streuung { $ms } ms
result-waited = am Wechsel { $ms } ms gewartet
result-hurried = am Wechsel { $ms } ms geeilt
latency-done = Gemessen: { $ms } ms vom Lautsprecher zum Mikrofon.
look-lever = Blick zur Klappe
look-strings = Blick zurück auf die Saiten

## Keys

action-start = Schleife starten oder anhalten; vom Stück zum Üben
action-right-pedal = Rechtes Pedal: nächster Wechsel; auf der Leiter starten, Wechsel klopfen, erstes Angebot annehmen
action-left-pedal = Linkes Pedal: voriger Wechsel; auf der Leiter der nächste, oder „misslungen“
action-next = Nächster Wechsel
action-previous = Voriger Wechsel
action-faster = Schneller üben
action-slower = Langsamer üben
action-to-goal = Im gewünschten Tempo üben
action-size = Mehr oder weniger Takte um den Wechsel
action-join-earlier = Auch die Takte des Wechsels davor
action-join-later = Auch die Takte des Wechsels danach
action-begin-earlier = Die Schleife einen Takt früher beginnen
action-begin-later = Die Schleife einen Takt später beginnen
action-end-earlier = Die Schleife einen Takt früher enden lassen
action-end-later = Die Schleife einen Takt später enden lassen
action-notes = Die Musik als Noten, als Saiten, oder verdeckt, um nach Gefühl zu spielen
action-ladder = Leiter an oder aus
action-clean = Sagen: dieser Durchgang war sauber
action-wrong = Sagen: dieser Durchgang ist misslungen
action-tap = Der Wechsel geschieht jetzt
action-speech = Zählen und Wechsel gesprochen oder nicht
action-listen = Mikrofon auf oder zu
action-pulse = Schlag zu sehen oder nicht
action-tap-along = Verzögerung durch Klopfen messen
action-click-softer = Klick leiser
action-click-louder = Klick lauter
action-cue-softer = Signalton leiser
action-cue-louder = Signalton lauter
action-guide-softer = Stichnoten leiser
action-guide-louder = Stichnoten lauter
action-notes-softer = Noten leiser
action-notes-louder = Noten lauter
action-left-hand = Linke Hand zu hören oder stumm
action-right-hand = Rechte Hand zu hören oder stumm
action-move-earlier = Wechsel früher legen
action-move-later = Wechsel später legen
action-other-hand = Wechsel der anderen Hand geben
action-lock = Wechsel festhalten oder dem Planer lassen
action-preset = Klappen des Wechsels vorher stellen
action-forbid = Wechsel auslassen
action-goal-up = Gewünschtes Tempo erhöhen
action-goal-down = Gewünschtes Tempo senken
action-next-harp = Nächste Harfe
action-next-tuning = Nächste Stimmung
action-next-pace = Nächste Geschwindigkeit der Hände
action-go-piece = Zum Stück
action-go-harp = Zur Harfe
action-go-drill = Zum Üben
action-go-diary = Zum Tagebuch
action-undo = Zurücknehmen
action-redo = Wiederholen
action-open = Datei öffnen
action-demo = Beispielstück öffnen
action-save = Speichern
action-save-as = Unter anderem Namen speichern
action-paper = Von Papier aufschreiben
action-settings = Einstellungen
action-lever-check = Klappen prüfen
action-tuner = Stimmen
action-help = Hilfe
action-escape = Schließen, was vorne liegt, oder anhalten
keys = Tasten und Pedale
keys-what = Wähle, was eine Taste tun soll: „Ändern“, dann die Taste oder das Pedal drücken. Noch einmal gedrückt, fällt sie wieder weg. Blätterpedale senden Bild auf und Bild ab, Pfeile, Leertaste oder Eingabe.
keys-change = Ändern
keys-change-spoken = Taste ändern: { $action }
keys-wanted = Drücke die Taste … Esc lässt alles, wie es ist
keys-usual = Alle wie am Anfang
keys-none = keine Taste
settings-keys = Tasten und Pedale
settings-keys-show = Ansehen und ändern
key-enter = Eingabe
key-page-down = Bild ab
key-page-up = Bild auf
key-delete = Entf
key-escape = Esc
key-ctrl = Strg
key-alt = Alt
key-shift = Umschalt

## Wie eine Leiter eingerichtet wird

ladder-set-up = Leiter einrichten
action-ladder-set-up = Leiter einrichten: Tempi, Schritte, Grenzen
ladder-start = Von
ladder-goal = bis
ladder-step = eine Sprosse höher um
ladder-step-beats = Schläge in der Minute
ladder-step-per-cent = Prozent
ladder-clean = nach so vielen sauberen Durchgängen nacheinander
ladder-scheme = Der Weg hinauf
ladder-climb = Sprosse um Sprosse
ladder-alternate = langsames Tempo und Ziel im Wechsel
ladder-sources = Zwei bis fünf Schläge oder etwa fünf Prozent und drei saubere Durchgänge sind üblich. Ein Ziel bis 5 % über dem gewünschten Tempo macht dieses leicht. Der Wechsel ist der andere übliche Weg.
limits = Was als sauber gilt
limits-own = nach deinen eigenen Grenzen
limits-level = nach den Grenzen für { $level } Hände
limits-usual = Grenzen der Stufe
limit-spread = Ungleichmäßigkeit höchstens
limit-hesitation = Warten oder Eilen am Wechsel, vom Schlag, höchstens
limit-wrong-notes = Fehlende oder überzählige Töne, höchstens
limit-tap = Klopfen neben dem Schlag, vom Schlag, höchstens
limits-sources = Von uns gesetzt, über dem, was sich unterscheiden lässt: Musiker klopfen auf 15 bis 25 ms genau (aus dem Gedächtnis), Einsätze werden auf 50 ms verglichen (mir_eval), ein verschobener Ton fällt ab 6 ms oder 2,5 % des Abstands auf (Friberg & Sundberg 1995). Das Wort deiner Lehrerin geht vor.

# Die Klappenprüfung und das Stimmen.
check-open = Klappen prüfen
check = Klappenprüfung
check-ask-open =
    Zupf { $string }, Klappe unten{ $times ->
        [1] {""}
       *[other] {" "}({ $times }-mal)
    }
check-ask-raised =
    Jetzt die Klappe hoch: zupf { $string } wieder{ $times ->
        [1] {""}
       *[other] {" "}({ $times }-mal)
    }
check-over = Jede Klappe ist geprüft.
check-how = Am Anfang alle Klappen unten. Lass jede Saite verklingen, ehe die nächste kommt; ein Klick auf eine Saite fragt nach ihr.
check-still-down = Das war { $string } mit der Klappe noch unten.
check-other = Das war kein { $string }: Es klang bei { $hertz } Hz. Dämpfe die anderen Saiten und zupf noch einmal.
check-bands = Jede Klappe soll ihre Saite um 100 Cent erhöhen. Auf 3 genau ist gut, 3 bis 7 erträglich, über 10 muss sie reguliert werden (so ist es üblich). Die Zahl über einer Saite sagt, wie weit sie von 100 weg ist.
check-raises = { $cents } Cent, { $band }
check-raises-roughly = ungefähr { $cents } Cent, { $band }
check-line = { $string }: { $raise }
check-before = ; letztes Mal { $before } ({ $by })
check-buzz-open = ; schnarrt vielleicht mit der Klappe unten
check-buzz = ; schnarrt vielleicht mit der Klappe oben
check-keep = Mit der Harfe behalten
check-kept =
    { $count ->
        [1] Was eine Klappe erhöht, ist mit der Harfe behalten.
       *[other] Was { $count } Klappen erhöhen, ist mit der Harfe behalten.
    } Die Harfe eines Stücks wird mit dem Stück gespeichert; speichere die Harfe, um sie für andere zu haben.
check-copy = Liste kopieren
check-save = Harfe speichern …
check-report = Klappenprüfung von { $harp }, für die, die sie regulieren. Gewünscht: 100 Cent von unten nach oben.
check-report-rest = Die anderen:
check-string-before = Die Saite davor
check-pass-over = Auslassen
check-each = Jede
check-times =
    { $times ->
        [1] einmal
       *[other] { $times }-mal, sicherer
    }
check-again = Neu beginnen
band-good = gut
band-tolerable = erträglich
band-doubtful = zweifelhaft
band-regulate = muss reguliert werden
tuner-open = Stimmen
tuner = Stimmen
tuner-ask = Zupf eine Saite
tuner-how = Alle Klappen unten. Die Saite wird an ihrer Tonhöhe erkannt; eine nach der anderen, und lass sie eine Sekunde klingen.
tuner-string = { $string }: { $far }
tuner-tighten = { $cents } Cent zu tief
tuner-leave = stimmt
tuner-slacken = { $cents } Cent zu hoch
tuner-scale = Der Zeiger für { $string }: { $far }
tuner-between = Das liegt zwischen { $one } und { $other }, also wird keine genannt: Sieh nach, welche Saite es ist, ehe du ihren Wirbel drehst.
tuner-no-string = Keine Saite dieser Harfe klingt so.
tuner-pitch = A4 ist
tuner-hertz = { $hertz } Hz
tuner-pitch-lower = Kammerton tiefer
tuner-pitch-higher = Kammerton höher
tuner-caution = Stimme langsam, das Gesicht von der Saite abgewandt, und nie über die Tonhöhe, für die sie gemacht ist: Eine zu hoch gestimmte kann reißen.
