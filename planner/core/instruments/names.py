"""What each instrument is called in English, Italian, French, German and Spanish.

One row an instrument: five columns parted by ``|``; in a column, spellings are parted by ``/``: the
singular first, then the plural, then abbreviations and other spellings. Key names (in B♭, en si♭,
in B, in Sib) and chairs (1, II, 1st) are understood by the recogniser and stand here only where they
are part of the name; words that name several instruments are weighed in ``shared_names``.
Source: common score-order terms, from memory.
"""

NAMES: dict[str, str] = {
    "piccolo": (
        "Piccolo/Piccolos/Picc./Flute Piccolo/Piccolo Flute/Picc. Flute/Octave Flute"
        "|Ottavino/Ottavini/Ott./Flauto piccolo"
        "|Petite flûte/Petites flûtes/P. Fl./Pte Fl./Piccolo/Petite flute/Octavin/Flûte piccolo"
        "|Kleine Flöte/Kleine Flöten/Kl. Fl./Pikkolo/Piccoloflöte/Pikkoloflöte/Oktavflöte/Octavflöte/"
        "Pickelflöte"
        "|Flautín/Flautines/Piccolo/Píccolo/Flauta piccolo/Octavillo"
    ),
    "flute": (
        "Flute/Flutes/Fl./Concert Flute/C Flute"
        "|Flauto/Flauti/Fl./Flauto traverso/Traverso/Traversi"
        "|Flûte/Flûtes/Fl./Grande flûte/Grandes flûtes"
        "|Flöte/Flöten/Fl./Große Flöte/Querflöte/Flauto traverso/Flote"
        "|Flauta/Flautas/Fl./Flauta travesera/Flauta traversa"
    ),
    "flute-alto": (
        "Alto Flute/Alto Flutes/A. Fl./AFl"
        "|Flauto contralto/Flauti contralti"
        "|Flûte alto/Flûtes altos"
        "|Altflöte/Altflöten"
        "|Flauta contralto/Flautas contraltos/Flauta alto/Flauta en sol"
    ),
    "flute-bass": (
        "Bass Flute/Bass Flutes/B. Fl./BFl"
        "|Flauto basso/Flauti bassi"
        "|Flûte basse/Flûtes basses"
        "|Bassflöte/Bassflöten"
        "|Flauta bajo/Flautas bajo/Flauta baja"
    ),
    "oboe": (
        "Oboe/Oboes/Ob./Hautboy"
        "|Oboe/Oboi/Ob."
        "|Hautbois/Hautbois/Htb./Hb."
        "|Oboe/Oboen/Ob./Hoboe/Hoboen"
        "|Oboe/Oboes/Ob."
    ),
    "oboe-damore": (
        "Oboe d'Amore/Oboes d'Amore/Ob. d'am."
        "|Oboe d'amore/Oboi d'amore"
        "|Hautbois d'amour/Hautbois d'amour"
        "|Liebesoboe/Oboe d'amore"
        "|Oboe de amor/Oboes de amor/Oboe d'amore"
    ),
    "english-horn": (
        "English Horn/English Horns/E. H./Eng. Hn./Cor Anglais/C. A./E. Hn./EHn"
        "|Corno inglese/Corni inglesi/C. ingl."
        "|Cor anglais/Cors anglais/C. A./Cor à l'anglais"
        "|Englischhorn/Englischhörner/Engl. Hr./Engl. Horn/Altoboe/Englisch Horn"
        "|Corno inglés/Cornos ingleses/C. ingl./Cuerno inglés/Corneta inglesa"
    ),
    "bassoon": (
        "Bassoon/Bassoons/Bsn./Bn."
        "|Fagotto/Fagotti/Fag./Fg."
        "|Basson/Bassons/Bon./Bons"
        "|Fagott/Fagotte/Fag./Fg./Fgt./Fagotten"
        "|Fagot/Fagotes/Fag./Fgt."
    ),
    "contrabassoon": (
        "Contrabassoon/Contrabassoons/Cbsn./C. Bn./Double Bassoon/CBsn/Cbn"
        "|Controfagotto/Controfagotti/Cfg./C. Fag./Contrafagotto/Contrafagotti"
        "|Contrebasson/Contrebassons/C. Bon."
        "|Kontrafagott/Kontrafagotte/K. Fag./Kfg./Contrafagott"
        "|Contrafagot/Contrafagotes/Cfag."
    ),
    "clarinet-eflat": (
        "E♭ Clarinet/E♭ Clarinets/E♭ Cl./E-flat Clarinet/Soprano Clarinet in E♭"
        "|Clarinetto piccolo/Clarinetti piccoli/Clarinetto in Mi♭/Quartino"
        "|Petite clarinette/Petites clarinettes/Pte Cl."
        "|Kleine Klarinette/Es-Klarinette/Es-Klarinetten"
        "|Requinto/Requintos/Clarinete requinto/Clarinete en mi♭/Clarinete piccolo"
    ),
    "clarinet-d": (
        "D Clarinet/D Clarinets"
        "|Clarinetto in Re/Clarinetti in Re"
        "|Clarinette en ré/Clarinettes en ré"
        "|D-Klarinette/D-Klarinetten"
        "|Clarinete en re/Clarinetes en re"
    ),
    "clarinet-c": (
        "C Clarinet/C Clarinets"
        "|Clarinetto in Do/Clarinetti in Do"
        "|Clarinette en ut/Clarinettes en ut"
        "|C-Klarinette/C-Klarinetten"
        "|Clarinete en do/Clarinetes en do"
    ),
    "clarinet-bflat": (
        "Clarinet/Clarinets/Cl./Clar./B♭ Clarinet/Clt./Clart."
        "|Clarinetto/Clarinetti/Cl./Clar."
        "|Clarinette/Clarinettes/Cl."
        "|Klarinette/Klarinetten/Kl./Klar./B-Klarinette/Clarinette/Clarinetten"
        "|Clarinete/Clarinetes/Cl./Clar./Clte."
    ),
    "clarinet-a": (
        "A Clarinet/A Clarinets"
        "|Clarinetto in La/Clarinetti in La"
        "|Clarinette en la/Clarinettes en la"
        "|A-Klarinette/A-Klarinetten"
        "|Clarinete en la/Clarinetes en la"
    ),
    "basset-horn": (
        "Basset Horn/Basset Horns/Bassett Horn"
        "|Corno di bassetto/Corni di bassetto"
        "|Cor de basset/Cors de basset"
        "|Bassetthorn/Bassetthörner"
        "|Corno di bassetto/Cornos di bassetto/Corno de basset"
    ),
    "clarinet-alto": (
        "Alto Clarinet/Alto Clarinets/A. Cl./E♭ Alto Clarinet/ACl"
        "|Clarinetto contralto/Clarinetti contralti"
        "|Clarinette alto/Clarinettes altos"
        "|Altklarinette/Altklarinetten"
        "|Clarinete alto/Clarinetes altos/Clarinete contralto"
    ),
    "clarinet-bass": (
        "Bass Clarinet/Bass Clarinets/B. Cl./Bs. Cl./Bass Cl./BCl/BsCl"
        "|Clarinetto basso/Clarinetti bassi/Cl. b./Clarone"
        "|Clarinette basse/Clarinettes basses"
        "|Bassklarinette/Bassklarinetten/B.-Kl./Baßklarinette"
        "|Clarinete bajo/Clarinetes bajos/Cl. bajo"
    ),
    "clarinet-contra-alto": (
        "Contra-alto Clarinet/Contra-alto Clarinets/Contralto Clarinet/E♭ Contrabass Clarinet/"
        "E♭ Contra-alto Clarinet/Contra Alto"
        "|Clarinetto contra-alto/Clarinetti contra-alti"
        "|Clarinette contralto/Clarinettes contraltos"
        "|Kontraaltklarinette/Kontraaltklarinetten"
        "|Clarinete contra-alto/Clarinetes contra-altos/Clarinete contrabajo en mi♭"
    ),
    "clarinet-contrabass": (
        "Contrabass Clarinet/Contrabass Clarinets/Cb. Cl./B♭ Contrabass Clarinet"
        "|Clarinetto contrabbasso/Clarinetti contrabbassi"
        "|Clarinette contrebasse/Clarinettes contrebasses"
        "|Kontrabassklarinette/Kontrabassklarinetten"
        "|Clarinete contrabajo/Clarinetes contrabajos"
    ),
    "saxophone-soprano": (
        "Soprano Saxophone/Soprano Saxophones/Soprano Sax/S. Sax/Sop. Sax./SSax/Ssx"
        "|Sassofono soprano/Sassofoni soprani/Sax soprano"
        "|Saxophone soprano/Saxophones sopranos"
        "|Sopransaxophon/Sopransaxophone/Sopransaxofon/Sopransax"
        "|Saxofón soprano/Saxofones sopranos/Saxo soprano"
    ),
    "saxophone-alto": (
        "Alto Saxophone/Alto Saxophones/Alto Sax/A. Sax/A. Sx./Saxophone/Saxophones/Alto Saxes/Sax/"
        "Saxes/ASax/Asx/A. Sx"
        "|Sassofono contralto/Sassofoni contralti/Sax contralto/Sassofono/Sassofoni/"
        "Saxofono contralto/Saxofono/Saxofoni"
        "|Saxophone alto/Saxophones altos/Sax alto/Saxophone/Saxophones"
        "|Altsaxophon/Altsaxophone/Altsaxofon/A.-Sax./Altsax/Saxophon/Saxophone"
        "|Saxofón alto/Saxofones altos/Saxo alto/Saxofón contralto/Saxofón/Saxofones"
    ),
    "saxophone-tenor": (
        "Tenor Saxophone/Tenor Saxophones/Tenor Sax/T. Sax/T. Sx./Tenor Saxes/TSax/Tsx"
        "|Sassofono tenore/Sassofoni tenori/Sax tenore"
        "|Saxophone ténor/Saxophones ténors/Sax ténor"
        "|Tenorsaxophon/Tenorsaxophone/Tenorsaxofon/T.-Sax./Tenorsax"
        "|Saxofón tenor/Saxofones tenores/Saxo tenor"
    ),
    "saxophone-baritone": (
        "Baritone Saxophone/Baritone Saxophones/Baritone Sax/Bari Sax/B. Sax/Bar. Sax./Bari/"
        "Bari Saxes/Bari. Sax/BSax/Barsx/Bari Sx/B. Sx"
        "|Sassofono baritono/Sassofoni baritoni/Sax baritono"
        "|Saxophone baryton/Saxophones barytons/Sax baryton"
        "|Baritonsaxophon/Baritonsaxophone/Baritonsaxofon/Baritonsax/Barisax"
        "|Saxofón barítono/Saxofones barítonos/Saxo barítono"
    ),
    "saxophone-bass": (
        "Bass Saxophone/Bass Saxophones/Bass Sax"
        "|Sassofono basso/Sassofoni bassi"
        "|Saxophone basse/Saxophones basses"
        "|Basssaxophon/Basssaxophone"
        "|Saxofón bajo/Saxofones bajos/Saxo bajo"
    ),
    "recorder-soprano": (
        "Soprano Recorder/Soprano Recorders/Descant Recorder/Recorder/Recorders"
        "|Flauto dolce soprano/Flauti dolci soprani/Flauto dolce/Flauto a becco/Flauto dritto/"
        "Flauto diritto"
        "|Flûte à bec soprano/Flûtes à bec sopranos/Flûte à bec/Flûte douce/Flûte droite"
        "|Sopranblockflöte/Sopranblockflöten/Blockflöte/Schnabelflöte"
        "|Flauta dulce soprano/Flautas dulces sopranos/Flauta dulce/Flautas dulces/Flauta de pico/"
        "Flauta recta"
    ),
    "recorder-alto": (
        "Alto Recorder/Alto Recorders/Treble Recorder"
        "|Flauto dolce contralto/Flauti dolci contralti"
        "|Flûte à bec alto/Flûtes à bec altos"
        "|Altblockflöte/Altblockflöten"
        "|Flauta dulce contralto/Flautas dulces contraltos/Flauta dulce alto/Flauta de pico contralto"
    ),
    "recorder-tenor": (
        "Tenor Recorder/Tenor Recorders"
        "|Flauto dolce tenore/Flauti dolci tenori"
        "|Flûte à bec ténor/Flûtes à bec ténors"
        "|Tenorblockflöte/Tenorblockflöten"
        "|Flauta dulce tenor/Flautas dulces tenores/Flauta de pico tenor"
    ),
    "recorder-bass": (
        "Bass Recorder/Bass Recorders"
        "|Flauto dolce basso/Flauti dolci bassi"
        "|Flûte à bec basse/Flûtes à bec basses"
        "|Bassblockflöte/Bassblockflöten"
        "|Flauta dulce bajo/Flautas dulces bajos/Flauta de pico bajo"
    ),
    "horn-f": (
        "Horn/Horns/Hn./Hrn./French Horn/French Horns/F Horn/F. Hn./Natural Horn/Valve Horn/Fr. Hn./"
        "Fr. Horn/Hns."
        "|Corno/Corni/Cor./Corno da caccia"
        "|Cor/Cors/Cor d'harmonie/Cors d'harmonie/Cor à pistons/Cor chromatique"
        "|Horn/Hörner/Hr./Waldhorn/Waldhörner/Hrn./Ventilhorn/Ventilhörner/Naturhorn"
        "|Trompa/Trompas/Tpa./Tpas./Corno/Cornos/Corno francés"
    ),
    "trumpet-bflat": (
        "Trumpet/Trumpets/Tpt./Trp./Tr./B♭ Trumpet/Tpts./Trpt."
        "|Tromba/Trombe/Tr./Trb./Clarino/Clarini"
        "|Trompette/Trompettes/Trp./Tromp./Trompette à pistons/Trompettes à pistons"
        "|Trompete/Trompeten/Trp./Tr."
        "|Trompeta/Trompetas/Tpta./Trpt."
    ),
    "trumpet-piccolo-bflat": (
        "Piccolo Trumpet/Piccolo Trumpets"
        "|Tromba piccola/Trombe piccole/Trombino"
        "|Petite trompette/Trompette piccolo"
        "|Kleine Trompete/Piccolotrompete/Hoch-B-Trompete"
        "|Trompeta piccolo/Trompetas piccolo"
    ),
    "cornet-bflat": (
        "Cornet/Cornets/Cor./Cnt./Crt./B♭ Cornet/Solo Cornet/Repiano/Repiano Cornet/Ripieno Cornet"
        "|Cornetta/Cornette/Ctta."
        "|Cornet à pistons/Cornets à pistons/Piston/Cornet/Cornets/Cornet à piston/Pistons/"
        "Cornet à p."
        "|Kornett/Kornette/Cornet à pistons/Piston/Cornett"
        "|Corneta/Cornetas/Cornetín/Cornetines"
    ),
    "cornet-eflat": (
        "E♭ Cornet/E♭ Cornets/Soprano Cornet"
        "|Cornetta soprano/Cornettino/Flicorno sopranino"
        "|Petit cornet/Petits cornets"
        "|Es-Kornett/Sopran-Kornett"
        "|Corneta soprano/Cornetas sopranos/Cornetín en mi♭"
    ),
    "flugelhorn": (
        "Flugelhorn/Flugelhorns/Flghn./Flug./Flgl./Flugel/Fluegelhorn/Flugel Horn/Flhn./Flg./"
        "Flugelhorn Solo"
        "|Flicorno/Flicorni/Flicorno soprano/Flicorno sopr."
        "|Bugle/Bugles/Bugle soprano"
        "|Flügelhorn/Flügelhörner/Flghr."
        "|Fiscorno/Fiscornos/Fliscorno/Fliscornos"
    ),
    "tenor-horn-eflat": (
        "Tenor Horn/Tenor Horns/Alto Horn/Alto Horns/Solo Horn (brass band)/Solo Horn/"
        "Peck Horn"
        "|Flicorno contralto/Genis/Clavicorno"
        "|Alto/Saxhorn alto/Saxhorn alto mi♭/Bugle alto"
        "|Althorn/Althörner/Es-Althorn"
        "|Trompa alto/Trompas alto/Saxhorno alto/Onnoven"
    ),
    "mellophone-f": (
        "Mellophone/Mellophones/Mello."
        "|Mellofono/Mellofoni"
        "|Mellophone/Mellophones"
        "|Mellophon/Mellophone"
        "|Melófono/Melófonos"
    ),
    "trombone-alto": (
        "Alto Trombone/Alto Trombones/A. Tbn./ATbn/A. Trb"
        "|Trombone alto/Tromboni alti/Trombone contralto"
        "|Trombone alto/Trombones altos"
        "|Altposaune/Altposaunen"
        "|Trombón alto/Trombones altos/Trombón contralto"
    ),
    "trombone": (
        "Trombone/Trombones/Tbn./Trb./Tenor Trombone/Trom./Trombone B.C./Trombone BC/Tbns./Bone/"
        "Bones/Trbn./T. Trb/T. Tbn/Tromb."
        "|Trombone/Tromboni/Trb./Tbn./Trombone tenore/Tromboni tenori"
        "|Trombone/Trombones/Trb./Trombone ténor/Trombone à coulisse/Trombones à coulisse"
        "|Posaune/Posaunen/Pos./Tenorposaune/Tenorposaunen/Zugposaune"
        "|Trombón/Trombones/Tbn./Trb./Trombón tenor/Trombones tenores"
    ),
    "trombone-treble": (
        "Trombone T.C./Trombone (treble clef)/Trombone TC/Trombone treble clef/Tbn. TC/Tbn. T.C."
        "|Trombone in chiave di violino"
        "|Trombone en clef de sol"
        "|Posaune im Violinschlüssel"
        "|Trombón en clave de sol/Trombones en clave de sol"
    ),
    "trombone-bass": (
        "Bass Trombone/Bass Trombones/B. Tbn./Bs. Tbn./Bass Bone/BTbn/BTrb/Bass Tbn./B. Trb"
        "|Trombone basso/Tromboni bassi/Trb. b."
        "|Trombone basse/Trombones basses"
        "|Bassposaune/Bassposaunen/B.-Pos./Baßposaune/Btb."
        "|Trombón bajo/Trombones bajos"
    ),
    "euphonium": (
        "Euphonium/Euphoniums/Euph./Euphonium B.C./Euphonium BC/Tenor Tuba"
        "|Eufonio/Eufoni/Bombardino/Flicorno basso/Flicorno tenore-baritono"
        "|Euphonium/Euphoniums/Saxhorn basse/Basse à pistons/Petite basse/Tuba ténor"
        "|Euphonium/Euphonien/Tenorbariton/Tenortuba"
        "|Bombardino/Bombardinos/Bdno./Eufonio/Eufonios"
    ),
    "euphonium-treble": (
        "Euphonium T.C./Euphonium (treble clef)/Euphonium TC/Euph. TC/Euphonium treble clef"
        "|Eufonio in chiave di violino"
        "|Euphonium en clef de sol"
        "|Euphonium im Violinschlüssel"
        "|Bombardino en clave de sol/Bombardinos en clave de sol/Eufonio en clave de sol"
    ),
    "baritone-horn": (
        "Baritone/Baritones/Bar./Baritone Horn/Baritone B.C./Baritone BC"
        "|Flicorno baritono/Bombardino baritono/Flicorno tenore"
        "|Baryton/Barytons/Saxhorn baryton"
        "|Bariton/Baritone/Tenorhorn/Tenorhörner"
        "|Barítono/Barítonos/Bombardino barítono"
    ),
    "baritone-horn-treble": (
        "Baritone T.C./Baritone (treble clef)/Baritone TC/Bar. TC/Baritone treble clef"
        "|Flicorno baritono in chiave di violino"
        "|Baryton en clef de sol"
        "|Tenorhorn im Violinschlüssel/Bariton im Violinschlüssel"
        "|Barítono en clave de sol/Barítonos en clave de sol"
    ),
    "tuba": (
        "Tuba/Tubas/Tba./Tb./Sousaphone/Basses/BB♭ Tuba/Bass Tuba/Contrabass Tuba/CC Tuba/Eb Tuba"
        "|Tuba/Tube/Bassotuba/Basso tuba/Basso grave/Bassi gravi/Bombardone/Pelittone/"
        "Flicorno contrabbasso"
        "|Tuba/Tubas/Contrebasse à vent/Tuba basse/Tuba contrebasse/Saxhorn contrebasse/"
        "Soubassophone/Hélicon"
        "|Tuba/Tuben/Basstuba/Baßtuba/Tb./Kontrabasstuba/Helikon/Sousaphon"
        "|Tuba/Tubas/Tba./Tuba baja/Helicón/Sousafón/Bajo de viento"
    ),
    "tuba-eflat-treble": (
        "E♭ Bass/E♭ Basses/E♭ Tuba T.C./E♭ Tuba treble clef/E♭ Tuba (treble clef)"
        "|Basso in Mi♭"
        "|Contrebasse en mi♭"
        "|Es-Bass"
        "|Bajo en mi♭/Bajos en mi♭"
    ),
    "tuba-bflat-treble": (
        "B♭ Bass/B♭ Basses/BB♭ Bass/B♭ Tuba T.C./B♭ Tuba treble clef"
        "|Basso in Si♭"
        "|Contrebasse en si♭"
        "|B-Bass"
        "|Bajo en si♭/Bajos en si♭"
    ),
    "glockenspiel": (
        "Bells/Glockenspiel/Orchestra Bells/Glock./Bls./Bell Lyre/Orch. Bells/Glsp./Gls./Bell Lira"
        "|Campanelli/Campanello/Glockenspiel/Camp."
        "|Jeu de timbres/Glockenspiel/Carillon/Jeu de clochettes"
        "|Glockenspiel/Glockenspiele/Glsp./Lyra"
        "|Lira/Liras/Juego de timbres/Campanólogo/Carillón/Carrillón/Glockenspiel/Órgano de campanas/"
        "Juego de campanas"
    ),
    "xylophone": (
        "Xylophone/Xylophones/Xylo./Xyl."
        "|Xilofono/Xilofoni/Silofono/Xil."
        "|Xylophone/Xylophones"
        "|Xylophon/Xylophone/Xyl."
        "|Xilófono/Xilófonos/Xilo./Xilofón"
    ),
    "marimba": (
        "Marimba/Marimbas/Mar./Mrb./Mba."
        "|Marimba/Marimbe"
        "|Marimba/Marimbas"
        "|Marimba/Marimbas/Marimbaphon"
        "|Marimba/Marimbas"
    ),
    "vibraphone": (
        "Vibraphone/Vibraphones/Vib./Vibes/Vibraharp"
        "|Vibrafono/Vibrafoni"
        "|Vibraphone/Vibraphones"
        "|Vibraphon/Vibraphone"
        "|Vibráfono/Vibráfonos/Vibr./Vibráfon"
    ),
    "chimes": (
        "Chimes/Tubular Bells/Chm./Tub. Bells/T. Bells/Tub. Bell/Tub. B."
        "|Campane tubolari/Campane/Campane tubulari/Campana"
        "|Cloches tubulaires/Cloches"
        "|Röhrenglocken/Glocken/Rohrenglocken/Röhrenglocke"
        "|Campanas tubulares/Campanas/Campana"
    ),
    "crotales": (
        "Crotales/Crotale/Crot."
        "|Crotali"
        "|Crotales/Cymbales antiques"
        "|Zimbeln/Cymbales antiques/Crotales"
        "|Crótalos/Crótalo"
    ),
    "mallets": (
        "Mallets/Mallet Percussion/Mall./Keyboard Percussion"
        "|Percussioni a tastiera"
        "|Claviers/Percussion clavier"
        "|Stabspiele/Malletinstrumente"
        "|Láminas/Lámina/Percusión de láminas/Placas"
    ),
    "timpani": (
        "Timpani/Timpani/Timp./Kettledrums/Timps./Kettle Drums/Tympani"
        "|Timpani/Timpani/Timp./Timpano/Timballi"
        "|Timbales/Timbales/Timb./Timbale"
        "|Pauken/Pauken/Pk./Pauke/Kesselpauken"
        "|Timbales/Timbal/Timb./Timpani/Atabales/Tímpanos/Tímpano"
    ),
    "steel-drums": (
        "Steel Drums/Steel Pan/Steel Pans/Steel Drum/Steelpan"
        "|Tamburi d'acciaio/Tamburo d'acciaio"
        "|Steel drums/Tambour d'acier/Tambours d'acier"
        "|Steeldrums/Stahltrommel/Steeldrum"
        "|Tambores metálicos/Tambor metálico/Steel drums/Tambor de acero/Tambores de acero"
    ),
    "snare-drum": (
        "Snare Drum/Snare Drums/S. D./S. Dr./Snare/Side Drum/Sn. Dr./Snares/SD/Snr./Military Drum/"
        "Field Snare"
        "|Tamburo/Tamburi/Tamburo militare/Cassa chiara/Tamburo piccolo/Rullante/Tamburo rullante"
        "|Caisse claire/Caisses claires/C. cl./Tambour/Tambours/Caisse cl."
        "|Kleine Trommel/Kleine Trommeln/Kl. Tr./Militärtrommel/Kl. Trommel/Kleine Tr./"
        "Schnarrtrommel/Marschtrommel"
        "|Caja/Cajas/Caja clara/Redoblante/Redoblantes/Tambor/Tarola"
    ),
    "tenor-drum": (
        "Tenor Drum/Tenor Drums/T. D./Field Drum/TD/Quads/Quints/Quad Toms"
        "|Cassa rullante/Casse rullanti"
        "|Caisse roulante/Caisses roulantes"
        "|Rührtrommel/Wirbeltrommel/Tenortrommel"
        "|Caja rodante/Tambor tenor/Tambor mayor/Caja redoblante"
    ),
    "bass-drum": (
        "Bass Drum/Bass Drums/B. D./Bs. Dr./BD/Bass Dr."
        "|Gran cassa/Grancassa/G. C./Cassa/Gr. Cassa/Tamburo grande/Tamburo grosso"
        "|Grosse caisse/Grosses caisses/Gr. C."
        "|Große Trommel/Gr. Tr./Grosse Trommel/Gr. Trommel/Große Tr."
        "|Bombo/Bombos/Bbo./Bombo sinfónico/Gran caja/Tambor grande"
    ),
    "tom-toms": (
        "Tom-toms/Tom-tom/Toms/Tom Toms/Tom"
        "|Tom-tom"
        "|Toms/Tom-toms"
        "|Tomtoms/Tom-toms/Tomtom"
        "|Tom-toms/Tom-tom/Toms"
    ),
    "bongos": ("Bongos/Bongo/Bongo Drums/Bongo Drum|Bongos/Bonghi|Bongos|Bongos|Bongós/Bongó"),
    "congas": (
        "Congas/Conga/Conga Drums/Conga Drum"
        "|Congas"
        "|Congas/Tumbas"
        "|Congas/Tumba"
        "|Congas/Conga/Tumbadoras/Tumbadora"
    ),
    "timbales": (
        "Timbales (Latin)/Latin Timbales"
        "|Timbales latini"
        "|Timbales cubaines/Timbales latines/Timbales créoles/Timbales latinos"
        "|Timbales (lateinisch)"
        "|Timbales latinos/Timbaletas/Pailas/Pailas criollas/Timbales cubanos"
    ),
    "tambourine": (
        "Tambourine/Tambourines/Tamb."
        "|Tamburello/Tamburino/Tamburo basco"
        "|Tambour de basque/Tambourin"
        "|Tamburin/Schellentrommel/Tambourin"
        "|Pandereta/Panderetas/Pandero"
    ),
    "cymbals": (
        "Crash Cymbals/Cymbals/Cym./Cymbal/Cr. Cym./Cymb./Crash Cymbal/Crash"
        "|Piatti/Piatto/P.tti/Cinelli/Piatti a due"
        "|Cymbales/Cymb./Cymbale/Cymbales à deux"
        "|Becken/Bck./Becken-Paar/Crashbecken"
        "|Platos/Plato/Platillos/Platillo/Platos de choque/Pltos./Platillos de choque/Címbalos"
    ),
    "suspended-cymbal": (
        "Suspended Cymbal/Suspended Cymbals/Sus. Cym./Susp. Cymbal/Sus. Cymbal/S. Cym."
        "|Piatto sospeso/Piatti sospesi"
        "|Cymbale suspendue/Cymbales suspendues"
        "|Hängendes Becken/Hängebecken"
        "|Plato suspendido/Platos suspendidos/Platillo suspendido/Platillos suspendidos"
    ),
    "hi-hat": (
        "Hi-hat/Hi-hats/High Hat"
        "|Charleston/Hi-hat/Piatti a pedale"
        "|Charleston/Charley/Cymbale à pédale/Cymbale charleston"
        "|Hi-Hat/Hihat/Hi-Hat-Becken"
        "|Hi-hat/Charles/Charleston"
    ),
    "gong": ("Gong/Gongs/Tam-tam/Tam-tams/T.-t.|Tam-tam/Gong|Tam-tam/Gong|Tamtam/Gong|Gong/Gongs/Tam-tam"),
    "triangle": (
        "Triangle/Triangles/Trgl./Tri."
        "|Triangolo/Triangoli/Trg."
        "|Triangle/Triangles"
        "|Triangel/Trgl."
        "|Triángulo/Triángulos/Trg."
    ),
    "sleigh-bells": (
        "Sleigh Bells/Sleighbells/Jingle Bells/Jingles"
        "|Sonagli/Sonagliera"
        "|Grelots"
        "|Schellen"
        "|Cascabeles/Cascabel"
    ),
    "cowbell": (
        "Cowbell/Cowbells"
        "|Campanaccio/Campanacci"
        "|Cloche à vache/Cloches à vache/Cloches de vache"
        "|Kuhglocke/Kuhglocken/Herdenglocken"
        "|Cencerro/Cencerros"
    ),
    "wind-chimes": (
        "Wind Chimes/Mark Tree/Bar Chimes"
        "|Albero di campanelli"
        "|Carillon à vent"
        "|Windspiel"
        "|Cortina/Cortinas/Cortinilla/Campanillas de viento"
    ),
    "wood-block": (
        "Wood Block/Wood Blocks/Woodblock/W. B./Wd. Bl."
        "|Blocco di legno/Wood-block"
        "|Bloc de bois/Wood-block/Wood-bloc/Blocs de bois"
        "|Holzblock/Holzblöcke"
        "|Caja china/Cajas chinas/Bloque de madera/Bloques de madera"
    ),
    "temple-blocks": (
        "Temple Blocks/Temple Block"
        "|Blocchi cinesi"
        "|Blocs chinois/Temple-blocks/Temple bloc/Temple blocs"
        "|Tempelblöcke"
        "|Temple blocks/Bloques chinos/Templeblocks"
    ),
    "claves": ("Claves|Claves|Claves|Claves/Schlagstäbe|Claves"),
    "castanets": ("Castanets/Cast.|Nacchere/Castagnette|Castagnettes|Kastagnetten|Castañuelas/Castañuela"),
    "guiro": ("Güiro/Guiro|Guiro|Güiro/Râpe|Guiro|Güiro/Güiros"),
    "maracas": ("Maracas/Maraca|Maracas|Maracas|Maracas/Rumbakugeln|Maracas/Maraca"),
    "shaker": ("Shaker/Shakers/Cabasa|Shaker|Shaker|Shaker|Shaker/Cabasa"),
    "ratchet": ("Ratchet/Rattle|Raganella|Crécelle|Ratsche/Knarre/Schnarre|Carraca/Matraca"),
    "whip": ("Whip/Slapstick|Frusta|Fouet|Peitsche|Látigo/Fusta"),
    "drum-set": (
        "Drum Set/Drumset/Drum Kit/Drums/Dr./D. S./Trap Set/Kit/Drumkit"
        "|Batteria"
        "|Batterie"
        "|Schlagzeug (Set)/Drumset/Schlagzeug/Schlagzeug Set"
        "|Batería/Baterías/Bat."
    ),
    "percussion": (
        "Percussion/Perc./Percussions/Traps/Auxiliary Percussion/Aux. Perc./Battery/Drumline"
        "|Percussioni/Percussione/Perc./Banda turca/Batteria/Accessori"
        "|Percussion/Percussions/Batterie/Accessoires"
        "|Schlagwerk/Schlaginstrumente/Perkussion/Schlagzeug/Schlagz./Schlgz./Schlaginstrument"
        "|Percusión/Percusiones/Perc."
    ),
    "violin": (
        "Violin/Violins/Vln./Vn./Fiddle/Violin Solo/Vlns./Vns."
        "|Violino/Violini/Vl./Vln./Viol./Vni./Vno."
        "|Violon/Violons/Vons/Von/Vn."
        "|Violine/Violinen/Geige/Geigen/Vl./Viol."
        "|Violín/Violines/Vl./Vln."
    ),
    "viola": (
        "Viola/Violas/Vla./Va./Vlas."
        "|Viola/Viole/Vle./Vla."
        "|Alto/Altos/Alto à cordes"
        "|Bratsche/Bratschen/Br./Viola/Altgeige/Altviola"
        "|Viola/Violas/Vla."
    ),
    "cello": (
        "Cello/Cellos/Violoncello/Violoncellos/Vc./Vcl./Vlc./'Cello/'Celli/Celli"
        "|Violoncello/Violoncelli/Vc./Vcl./Vlc."
        "|Violoncelle/Violoncelles/Vcelle/Vlles/Vcl."
        "|Violoncell/Violoncelle/Cello/Celli/Vcl./Vlc./Violoncello"
        "|Violonchelo/Violonchelos/Violoncelo/Violoncelos/Violoncello/Chelo/Chelos/Vc."
    ),
    "double-bass": (
        "Double Bass/Double Basses/D. B./Db./String Bass/Str. Bass/Contrabass/Contrabasses/Cb./"
        "Upright Bass/Bass Viol/Contra Bass/Bass Fiddle/Cbs./Kontrabass/Acoustic Bass/Str. B."
        "|Contrabbasso/Contrabbassi/Cb./Violone/Contrabasso/Contrabassi/C. basso/C.basso"
        "|Contrebasse/Contrebasses/C. B./Contre-basse/Contrebasse à cordes/Contrebasses à cordes"
        "|Kontrabass/Kontrabässe/Kb./Kontrabaß/Contrabass/Bassgeige/Kontrab."
        "|Contrabajo/Contrabajos/Cb."
    ),
    "harp": ("Harp/Harps/Hp.|Arpa/Arpe|Harpe/Harpes|Harfe/Harfen/Hrf./Hf./Hfe.|Arpa/Arpas"),
    "guitar": (
        "Guitar/Guitars/Gtr./Acoustic Guitar/Classical Guitar"
        "|Chitarra/Chitarre/Chit."
        "|Guitare/Guitares/Guitare acoustique/Guitare classique"
        "|Gitarre/Gitarren/Git./Akustikgitarre/Guitarre"
        "|Guitarra/Guitarras/Guit."
    ),
    "guitar-electric": (
        "Electric Guitar/Electric Guitars/E. Gtr./Elec. Guitar/Elec. Gtr./Lead Guitar"
        "|Chitarra elettrica/Chitarre elettriche"
        "|Guitare électrique/Guitares électriques"
        "|E-Gitarre/E-Gitarren/Elektrische Gitarre/Elektro-Gitarre"
        "|Guitarra eléctrica/Guitarras eléctricas"
    ),
    "bass-guitar": (
        "Bass Guitar/Bass Guitars/Electric Bass/E. Bass/El. Bass/Fretless Bass/Elec. Bass/Bass Gtr."
        "|Basso elettrico/Bassi elettrici"
        "|Basse électrique/Guitare basse"
        "|E-Bass/Bassgitarre/E-Bässe"
        "|Bajo eléctrico/Bajos eléctricos/Guitarra baja"
    ),
    "mandolin": (
        "Mandolin/Mandolins"
        "|Mandolino/Mandolini"
        "|Mandoline/Mandolines"
        "|Mandoline/Mandolinen"
        "|Mandolina/Mandolinas"
    ),
    "ukulele": ("Ukulele/Ukuleles|Ukulele|Ukulélé/Ukulélés|Ukulele|Ukelele/Ukeleles/Ukulele"),
    "banjo": ("Banjo/Banjos|Banjo|Banjo|Banjo|Banjo/Banjos"),
    "piano": (
        "Piano/Pianos/Pno./Pianoforte/Pf./Piano Accompaniment/Piano Reduction/Accompaniment"
        "|Pianoforte/Pianoforti/Pf./Piano/Pf"
        "|Piano/Pianos"
        "|Klavier/Klaviere/Klav./Hammerklavier/Piano/Pianoforte/Fortepiano"
        "|Piano/Pianos/Pno."
    ),
    "organ": (
        "Organ/Organs/Org./Pipe Organ"
        "|Organo/Organi/Org./Organo a canne"
        "|Orgue/Orgues/Orgue à tuyaux"
        "|Orgel/Orgeln/Org./Pfeifenorgel"
        "|Órgano/Órganos/Org./Órgano de tubos"
    ),
    "harpsichord": (
        "Harpsichord/Harpsichords/Hpsd./Hch./Continuo/Basso Continuo/B. C./Figured Bass/Hpd."
        "|Clavicembalo/Cembalo/Clavicembali/Continuo/Basso continuo/Cimbalo"
        "|Clavecin/Clavecins/Basse continue"
        "|Cembalo/Cembali/Cemb./Generalbass"
        "|Clave/Clavecín/Clavicémbalo/Bajo continuo/Clavecémbalo"
    ),
    "celesta": (
        "Celesta/Celestas/Cel./Celeste|Celesta/Celeste|Célesta/Célestas|Celesta/Celesten|Celesta/Celestas"
    ),
    "accordion": (
        "Accordion/Accordions/Acc./Accord./Accdn."
        "|Fisarmonica/Fisarmoniche"
        "|Accordéon/Accordéons"
        "|Akkordeon/Akkordeons/Ziehharmonika/Handharmonika"
        "|Acordeón/Acordeones"
    ),
    "synthesizer": (
        "Synthesizer/Synthesizers/Synth/Keyboard/Keyboards/Kbd./Keys/Syn./Electric Piano"
        "|Sintetizzatore/Sintetizzatori"
        "|Synthétiseur/Clavier"
        "|Synthesizer/Keyboard"
        "|Sintetizador/Sintetizadores/Teclado/Teclados"
    ),
    "soprano": (
        "Soprano/Sopranos/S./Sopr./Treble/Trebles/Superius/Cantus"
        "|Soprano/Soprani/S."
        "|Soprano/Sopranos/Dessus"
        "|Sopran/Soprane/Diskant/Sopr."
        "|Soprano/Sopranos/Tiple/Tiples/S."
    ),
    "mezzo-soprano": (
        "Mezzo-soprano/Mezzo-sopranos/Mezzo/Ms./Mezzos/Mez."
        "|Mezzosoprano/Mezzosoprani"
        "|Mezzo-soprano/Mezzo-sopranos/Bas-dessus"
        "|Mezzosopran/Mezzosoprane"
        "|Mezzosoprano/Mezzosopranos/Mezzo-soprano"
    ),
    "alto": (
        "Alto/Altos/A./Contralto/Contraltos/Altus/Countertenor/Contratenor/CT/Counter-tenor/"
        "Counter Tenor"
        "|Contralto/Contralti/Alto/Alti/Contr."
        "|Alto/Altos/Contralto/Haute-contre"
        "|Alt/Alte/Altstimme"
        "|Contralto/Contraltos/Alto/Altos/Contraalto"
    ),
    "tenor": (
        "Tenor/Tenors/T./Ten."
        "|Tenore/Tenori/T."
        "|Ténor/Ténors/Taille/Tén."
        "|Tenor/Tenöre/Ten./Tenore"
        "|Tenor/Tenores/T."
    ),
    "baritone-voice": (
        "Baritone (voice)/Baritone Voice/Baritone Solo"
        "|Baritono/Baritoni"
        "|Baryton (voix)/Basse-taille/Basse-tailles/Concordant"
        "|Bariton (Stimme)"
        "|Barítono (voz)/Barítonos (voces)"
    ),
    "bass-voice": (
        "Bass/Basses (voice)/Bass Voice/Bass-baritone/Bassus"
        "|Basso/Bassi/Basso (voce)"
        "|Basse/Basses/Basse-contre"
        "|Bass (Stimme)/Bässe/Bass-Stimme"
        "|Bajo (voz)/Bajos (voces)"
    ),
    "voice": (
        "Voice/Voices/Vocals/Singer/Vox/Choir/Chorus/Vocal/Vocal Solo/Men/Women/Male Voices/"
        "Female Voices/Male Voice/Female Voice/Men's Voices/Women's Voices/Ladies/Girls/Boys/"
        "Male Chorus/Female Chorus/Men's Chorus/Women's Chorus/Children/Children's Choir/"
        "Treble Choir/Mixed Choir/Mixed Chorus/Congregation/All Voices/Unison/Unison Voices/"
        "Solo Voice/Lead Vocal/Backing Vocals/Singers/Vocalist/Vocalists/Solo Vocal"
        "|Voce/Voci/Canto/Coro/Coro misto/Voci bianche/Uomini/Donne/Cori/Cantante/Cantore"
        "|Voix/Chant/Chœur/Hommes/Femmes/Chœurs/Chœur mixte/Voix d'hommes/Voix de femmes/"
        "Chœur d'enfants/Voix d'enfants/Chanteur/Chanteuse/Chant solo"
        "|Stimme/Stimmen/Gesang/Singstimme/Chor/Männer/Frauen/Herren/Damen/Männerchor/Frauenchor/"
        "Kinderchor/Männerstimmen/Frauenstimmen/Gemischter Chor/Gemeinde/Sänger/Sängerin"
        "|Voz/Voces/Coro/Canto/Coros/Voz solista/Hombres/Mujeres/Niños/Coro mixto/Voces blancas/"
        "Voces de hombres/Voces de mujeres/Coro de niños/Voces graves/Voces agudas/Cantante/Cantantes"
    ),
}
"""Rows of names by instrument id. Crooks share the names of their kind."""
