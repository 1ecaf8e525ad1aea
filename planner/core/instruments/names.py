"""What each instrument is called in English, Italian, French and German.

One row an instrument: four columns parted by ``|``; in a column, spellings are parted by ``/``: the
singular first, then the plural, then abbreviations and other spellings. Key names (in B♭, en si♭,
in B, in Sib) and chairs (1, II, 1st) are understood by the recogniser and stand here only where they
are part of the name. Source: common score-order terms, from memory.
"""

NAMES: dict[str, str] = {
    "piccolo": (
        "Piccolo/Piccolos/Picc./Flute Piccolo/Piccolo Flute|Ottavino/Ottavini/Ott./Flauto piccolo"
        "|Petite flûte/Petites flûtes/P. Fl./Pte Fl./Piccolo"
        "|Kleine Flöte/Kleine Flöten/Kl. Fl./Pikkolo/Piccoloflöte/Pikkoloflöte"
    ),
    "flute": (
        "Flute/Flutes/Fl./Concert Flute/C Flute|Flauto/Flauti/Fl./Flauto traverso/Traverso/Traversi"
        "|Flûte/Flûtes/Fl./Grande flûte/Grandes flûtes"
        "|Flöte/Flöten/Fl./Große Flöte/Querflöte/Flauto traverso"
    ),
    "flute-alto": (
        "Alto Flute/Alto Flutes/A. Fl.|Flauto contralto/Flauti contralti|Flûte alto/Flûtes altos"
        "|Altflöte/Altflöten"
    ),
    "flute-bass": (
        "Bass Flute/Bass Flutes/B. Fl.|Flauto basso/Flauti bassi|Flûte basse/Flûtes basses"
        "|Bassflöte/Bassflöten"
    ),
    "oboe": ("Oboe/Oboes/Ob./Hautboy|Oboe/Oboi/Ob.|Hautbois/Hautbois/Htb./Hb.|Oboe/Oboen/Ob./Hoboe/Hoboen"),
    "oboe-damore": (
        "Oboe d'Amore/Oboes d'Amore/Ob. d'am.|Oboe d'amore/Oboi d'amore"
        "|Hautbois d'amour/Hautbois d'amour|Liebesoboe/Oboe d'amore"
    ),
    "english-horn": (
        "English Horn/English Horns/E. H./Eng. Hn./Cor Anglais/C. A."
        "|Corno inglese/Corni inglesi/C. ingl.|Cor anglais/Cors anglais/C. A."
        "|Englischhorn/Englischhörner/Engl. Hr./Engl. Horn"
    ),
    "bassoon": (
        "Bassoon/Bassoons/Bsn./Bn.|Fagotto/Fagotti/Fag./Fg.|Basson/Bassons/Bon./Bons|Fagott/Fagotte/Fag./Fg."
    ),
    "contrabassoon": (
        "Contrabassoon/Contrabassoons/Cbsn./C. Bn./Double Bassoon"
        "|Controfagotto/Controfagotti/Cfg./C. Fag.|Contrebasson/Contrebassons/C. Bon."
        "|Kontrafagott/Kontrafagotte/K. Fag./Kfg./Contrafagott"
    ),
    "clarinet-eflat": (
        "E♭ Clarinet/E♭ Clarinets/E♭ Cl./E-flat Clarinet/Soprano Clarinet in E♭"
        "|Clarinetto piccolo/Clarinetti piccoli/Clarinetto in Mi♭/Quartino"
        "|Petite clarinette/Petites clarinettes/Pte Cl."
        "|Kleine Klarinette/Es-Klarinette/Es-Klarinetten"
    ),
    "clarinet-d": (
        "D Clarinet/D Clarinets|Clarinetto in Re/Clarinetti in Re"
        "|Clarinette en ré/Clarinettes en ré|D-Klarinette/D-Klarinetten"
    ),
    "clarinet-c": (
        "C Clarinet/C Clarinets|Clarinetto in Do/Clarinetti in Do"
        "|Clarinette en ut/Clarinettes en ut|C-Klarinette/C-Klarinetten"
    ),
    "clarinet-bflat": (
        "Clarinet/Clarinets/Cl./Clar./B♭ Clarinet|Clarinetto/Clarinetti/Cl./Clar."
        "|Clarinette/Clarinettes/Cl."
        "|Klarinette/Klarinetten/Kl./Klar./B-Klarinette/Clarinette/Clarinetten"
    ),
    "clarinet-a": (
        "A Clarinet/A Clarinets|Clarinetto in La/Clarinetti in La"
        "|Clarinette en la/Clarinettes en la|A-Klarinette/A-Klarinetten"
    ),
    "basset-horn": (
        "Basset Horn/Basset Horns|Corno di bassetto/Corni di bassetto|Cor de basset/Cors de basset"
        "|Bassetthorn/Bassetthörner"
    ),
    "clarinet-alto": (
        "Alto Clarinet/Alto Clarinets/A. Cl./E♭ Alto Clarinet"
        "|Clarinetto contralto/Clarinetti contralti|Clarinette alto/Clarinettes altos"
        "|Altklarinette/Altklarinetten"
    ),
    "clarinet-bass": (
        "Bass Clarinet/Bass Clarinets/B. Cl./Bs. Cl."
        "|Clarinetto basso/Clarinetti bassi/Cl. b./Clarone"
        "|Clarinette basse/Clarinettes basses/Cl. B."
        "|Bassklarinette/Bassklarinetten/B.-Kl./Baßklarinette"
    ),
    "clarinet-contra-alto": (
        "Contra-alto Clarinet/Contra-alto Clarinets/Contralto Clarinet/E♭ Contrabass Clarinet"
        "|Clarinetto contra-alto/Clarinetti contra-alti|Clarinette contralto/Clarinettes contraltos"
        "|Kontraaltklarinette/Kontraaltklarinetten"
    ),
    "clarinet-contrabass": (
        "Contrabass Clarinet/Contrabass Clarinets/Cb. Cl./B♭ Contrabass Clarinet"
        "|Clarinetto contrabbasso/Clarinetti contrabbassi"
        "|Clarinette contrebasse/Clarinettes contrebasses"
        "|Kontrabassklarinette/Kontrabassklarinetten"
    ),
    "saxophone-soprano": (
        "Soprano Saxophone/Soprano Saxophones/Soprano Sax/S. Sax/Sop. Sax."
        "|Sassofono soprano/Sassofoni soprani/Sax soprano|Saxophone soprano/Saxophones sopranos"
        "|Sopransaxophon/Sopransaxophone/Sopransaxofon"
    ),
    "saxophone-alto": (
        "Alto Saxophone/Alto Saxophones/Alto Sax/A. Sax/A. Sx./Saxophone"
        "|Sassofono contralto/Sassofoni contralti/Sax contralto"
        "|Saxophone alto/Saxophones altos/Sax alto|Altsaxophon/Altsaxophone/Altsaxofon/A.-Sax."
    ),
    "saxophone-tenor": (
        "Tenor Saxophone/Tenor Saxophones/Tenor Sax/T. Sax/T. Sx."
        "|Sassofono tenore/Sassofoni tenori/Sax tenore|Saxophone ténor/Saxophones ténors/Sax ténor"
        "|Tenorsaxophon/Tenorsaxophone/Tenorsaxofon/T.-Sax."
    ),
    "saxophone-baritone": (
        "Baritone Saxophone/Baritone Saxophones/Baritone Sax/Bari Sax/B. Sax/Bar. Sax."
        "|Sassofono baritono/Sassofoni baritoni/Sax baritono"
        "|Saxophone baryton/Saxophones barytons/Sax baryton"
        "|Baritonsaxophon/Baritonsaxophone/Baritonsaxofon"
    ),
    "saxophone-bass": (
        "Bass Saxophone/Bass Saxophones/Bass Sax|Sassofono basso/Sassofoni bassi"
        "|Saxophone basse/Saxophones basses|Basssaxophon/Basssaxophone"
    ),
    "recorder-soprano": (
        "Soprano Recorder/Soprano Recorders/Descant Recorder/Recorder/Recorders"
        "|Flauto dolce soprano/Flauti dolci soprani/Flauto dolce"
        "|Flûte à bec soprano/Flûtes à bec sopranos/Flûte à bec"
        "|Sopranblockflöte/Sopranblockflöten/Blockflöte"
    ),
    "recorder-alto": (
        "Alto Recorder/Alto Recorders/Treble Recorder|Flauto dolce contralto/Flauti dolci contralti"
        "|Flûte à bec alto/Flûtes à bec altos|Altblockflöte/Altblockflöten"
    ),
    "recorder-tenor": (
        "Tenor Recorder/Tenor Recorders|Flauto dolce tenore/Flauti dolci tenori"
        "|Flûte à bec ténor/Flûtes à bec ténors|Tenorblockflöte/Tenorblockflöten"
    ),
    "recorder-bass": (
        "Bass Recorder/Bass Recorders|Flauto dolce basso/Flauti dolci bassi"
        "|Flûte à bec basse/Flûtes à bec basses|Bassblockflöte/Bassblockflöten"
    ),
    "horn-f": (
        "Horn/Horns/Hn./Hrn./French Horn/French Horns/F Horn/F. Hn.|Corno/Corni/Cor.|Cor/Cors"
        "|Horn/Hörner/Hr./Waldhorn/Waldhörner/Hrn."
    ),
    "trumpet-bflat": (
        "Trumpet/Trumpets/Tpt./Trp./Tr./B♭ Trumpet|Tromba/Trombe/Tr./Trb."
        "|Trompette/Trompettes/Trp./Tromp.|Trompete/Trompeten/Trp./Tr."
    ),
    "trumpet-piccolo-bflat": (
        "Piccolo Trumpet/Piccolo Trumpets|Tromba piccola/Trombe piccole/Trombino"
        "|Petite trompette/Trompette piccolo|Kleine Trompete/Piccolotrompete/Hoch-B-Trompete"
    ),
    "cornet-bflat": (
        "Cornet/Cornets/Cor./Cnt./Crt./B♭ Cornet|Cornetta/Cornette/Ctta."
        "|Cornet à pistons/Cornets à pistons/Piston/Cornet/Cornets"
        "|Kornett/Kornette/Cornet à pistons"
    ),
    "cornet-eflat": (
        "E♭ Cornet/E♭ Cornets/Soprano Cornet|Cornetta soprano/Cornettino"
        "|Petit cornet/Petits cornets|Es-Kornett/Sopran-Kornett"
    ),
    "flugelhorn": (
        "Flugelhorn/Flugelhorns/Flghn./Flug./Flgl.|Flicorno/Flicorni/Flicorno soprano|Bugle/Bugles"
        "|Flügelhorn/Flügelhörner/Flghr."
    ),
    "tenor-horn-eflat": (
        "Tenor Horn/Tenor Horns/Alto Horn/Alto Horns/E♭ Horn/Solo Horn (brass band)"
        "|Flicorno contralto/Genis|Alto/Altos en mi♭/Saxhorn alto|Althorn/Althörner"
    ),
    "mellophone-f": (
        "Mellophone/Mellophones/Mello.|Mellofono/Mellofoni|Mellophone/Mellophones|Mellophon/Mellophone"
    ),
    "trombone-alto": (
        "Alto Trombone/Alto Trombones/A. Tbn.|Trombone alto/Tromboni alti/Trombone contralto"
        "|Trombone alto/Trombones altos|Altposaune/Altposaunen"
    ),
    "trombone": (
        "Trombone/Trombones/Tbn./Trb./Tenor Trombone/Trom."
        "|Trombone/Tromboni/Trb./Tbn./Trombone tenore/Tromboni tenori"
        "|Trombone/Trombones/Trb./Trombone ténor|Posaune/Posaunen/Pos./Tenorposaune/Tenorposaunen"
    ),
    "trombone-treble": (
        "Trombone T.C./Trombone (treble clef)/Trombone TC/Trombone treble clef"
        "|Trombone in chiave di violino|Trombone en clef de sol|Posaune im Violinschlüssel"
    ),
    "trombone-bass": (
        "Bass Trombone/Bass Trombones/B. Tbn./Bs. Tbn.|Trombone basso/Tromboni bassi/Trb. b."
        "|Trombone basse/Trombones basses|Bassposaune/Bassposaunen/B.-Pos./Baßposaune"
    ),
    "euphonium": (
        "Euphonium/Euphoniums/Euph./Euphonium B.C./Euphonium BC"
        "|Eufonio/Eufoni/Bombardino/Flicorno basso|Euphonium/Euphoniums/Saxhorn basse"
        "|Euphonium/Euphonien/Tenorbariton/Bariton im Bassschlüssel"
    ),
    "euphonium-treble": (
        "Euphonium T.C./Euphonium (treble clef)/Euphonium TC/Euph. TC/Euphonium treble clef"
        "|Eufonio in chiave di violino|Euphonium en clef de sol"
        "|Euphonium im Violinschlüssel/Bariton im Violinschlüssel"
    ),
    "baritone-horn": (
        "Baritone/Baritones/Bar./Baritone Horn/Baritone B.C./Baritone BC"
        "|Flicorno baritono/Bombardino baritono|Baryton/Barytons/Saxhorn baryton"
        "|Bariton/Baritone/Tenorhorn/Tenorhörner"
    ),
    "baritone-horn-treble": (
        "Baritone T.C./Baritone (treble clef)/Baritone TC/Bar. TC/Baritone treble clef"
        "|Flicorno baritono in chiave di violino|Baryton en clef de sol"
        "|Tenorhorn im Violinschlüssel"
    ),
    "tuba": (
        "Tuba/Tubas/Tba./Tb./Sousaphone/Basses/BB♭ Tuba/Bass Tuba|Tuba/Tube/Bassotuba/Basso tuba"
        "|Tuba/Tubas/Contrebasse à vent|Tuba/Tuben/Basstuba/Baßtuba/Tb."
    ),
    "tuba-eflat-treble": (
        "E♭ Bass/E♭ Basses/E♭ Tuba T.C./E♭ Tuba treble clef|Basso in Mi♭|Contrebasse en mi♭|Es-Bass"
    ),
    "tuba-bflat-treble": (
        "B♭ Bass/B♭ Basses/BB♭ Bass/B♭ Tuba T.C./B♭ Tuba treble clef|Basso in Si♭|Contrebasse en si♭|B-Bass"
    ),
    "glockenspiel": (
        "Bells/Glockenspiel/Orchestra Bells/Glock./Bls.|Campanelli/Campanello/Glockenspiel/Camp."
        "|Jeu de timbres/Glockenspiel/Carillon|Glockenspiel/Glockenspiele/Glsp."
    ),
    "xylophone": (
        "Xylophone/Xylophones/Xylo./Xyl.|Xilofono/Xilofoni/Silofono/Xil.|Xylophone/Xylophones"
        "|Xylophon/Xylophone/Xyl."
    ),
    "marimba": "Marimba/Marimbas/Mar./Mrb.|Marimba/Marimbe|Marimba/Marimbas|Marimba/Marimbas/Marimbaphon",
    "vibraphone": (
        "Vibraphone/Vibraphones/Vib./Vibes|Vibrafono/Vibrafoni|Vibraphone/Vibraphones|Vibraphon/Vibraphone"
    ),
    "chimes": (
        "Chimes/Tubular Bells/Chm./Tub. Bells|Campane tubolari/Campane|Cloches tubulaires/Cloches"
        "|Röhrenglocken/Glocken"
    ),
    "crotales": (
        "Crotales/Crotale/Crot.|Crotali|Crotales/Cymbales antiques|Zimbeln/Cymbales antiques/Crotales"
    ),
    "mallets": (
        "Mallets/Mallet Percussion/Mall./Keyboard Percussion|Percussioni a tastiera"
        "|Claviers/Percussion clavier|Stabspiele/Malletinstrumente"
    ),
    "timpani": (
        "Timpani/Timpani/Timp./Kettledrums/Timps.|Timpani/Timpani/Timp.|Timbales/Timbales/Timb."
        "|Pauken/Pauken/Pk."
    ),
    "steel-drums": "Steel Drums/Steel Pan/Steel Pans|Tamburi d'acciaio|Steel drums|Steeldrums",
    "snare-drum": (
        "Snare Drum/Snare Drums/S. D./S. Dr./Snare/Side Drum"
        "|Tamburo/Tamburi/Tamburo militare/Cassa chiara/Tamburo piccolo"
        "|Caisse claire/Caisses claires/C. cl./Tambour"
        "|Kleine Trommel/Kleine Trommeln/Kl. Tr./Militärtrommel"
    ),
    "tenor-drum": (
        "Tenor Drum/Tenor Drums/T. D./Field Drum|Cassa rullante/Casse rullanti"
        "|Caisse roulante/Caisses roulantes|Rührtrommel/Wirbeltrommel/Tenortrommel"
    ),
    "bass-drum": (
        "Bass Drum/Bass Drums/B. D./Bs. Dr.|Gran cassa/Grancassa/G. C./Cassa"
        "|Grosse caisse/Grosses caisses/Gr. C.|Große Trommel/Gr. Tr./Grosse Trommel"
    ),
    "tom-toms": "Tom-toms/Tom-tom/Toms/Tom Toms|Tom-tom|Toms/Tom-toms|Tomtoms/Tom-toms",
    "bongos": "Bongos/Bongo|Bongos/Bonghi|Bongos|Bongos",
    "congas": "Congas/Conga|Congas|Congas/Tumbas|Congas",
    "timbales": "Timbales (Latin)|Timbales latini|Timbales cubaines|Timbales (lateinisch)",
    "tambourine": (
        "Tambourine/Tambourines/Tamb.|Tamburello/Tamburino/Tamburo basco|Tambour de basque"
        "|Tamburin/Schellentrommel"
    ),
    "cymbals": (
        "Crash Cymbals/Cymbals/Cym./Cymbal/Cr. Cym.|Piatti/Piatto/P.tti/Cinelli|Cymbales/Cymb.|Becken/Bck."
    ),
    "suspended-cymbal": (
        "Suspended Cymbal/Suspended Cymbals/Sus. Cym./Susp. Cymbal|Piatto sospeso|Cymbale suspendue"
        "|Hängendes Becken/Hängebecken"
    ),
    "hi-hat": "Hi-hat/Hi-hats/High Hat|Charleston/Hi-hat|Charleston/Charley|Hi-Hat/Hihat",
    "gong": "Gong/Gongs/Tam-tam/Tam-tams/T.-t.|Tam-tam/Gong|Tam-tam/Gong|Tamtam/Gong",
    "triangle": ("Triangle/Triangles/Trgl./Tri.|Triangolo/Triangoli/Trg.|Triangle/Triangles|Triangel/Trgl."),
    "sleigh-bells": "Sleigh Bells/Sleighbells|Sonagli/Sonagliera|Grelots|Schellen",
    "cowbell": (
        "Cowbell/Cowbells|Campanaccio/Campanacci|Cloche à vache/Cloches à vache|Kuhglocke/Kuhglocken"
    ),
    "wind-chimes": "Wind Chimes/Mark Tree/Bar Chimes|Albero di campanelli|Carillon à vent|Windspiel",
    "wood-block": (
        "Wood Block/Wood Blocks/Woodblock/W. B.|Blocco di legno/Wood-block|Bloc de bois/Wood-block"
        "|Holzblock/Holzblöcke"
    ),
    "temple-blocks": "Temple Blocks/Temple Block|Blocchi cinesi|Blocs chinois/Temple-blocks|Tempelblöcke",
    "claves": "Claves|Claves|Claves|Claves/Schlagstäbe",
    "castanets": "Castanets/Cast.|Nacchere/Castagnette|Castagnettes|Kastagnetten",
    "guiro": "Güiro/Guiro|Guiro|Güiro/Râpe|Guiro",
    "maracas": "Maracas/Maraca|Maracas|Maracas|Maracas/Rumbakugeln",
    "shaker": "Shaker/Shakers/Cabasa|Shaker|Shaker|Shaker",
    "ratchet": "Ratchet|Raganella|Crécelle|Ratsche",
    "whip": "Whip/Slapstick|Frusta|Fouet|Peitsche",
    "drum-set": (
        "Drum Set/Drumset/Drum Kit/Drums/Dr./D. S.|Batteria|Batterie|Schlagzeug (Set)/Drumset/Schlagzeug"
    ),
    "percussion": (
        "Percussion/Perc./Percussions/Traps/Auxiliary Percussion/Aux. Perc."
        "|Percussioni/Percussione/Perc./Banda turca|Percussion/Percussions"
        "|Schlagwerk/Schlaginstrumente/Perkussion"
    ),
    "violin": (
        "Violin/Violins/Vln./Vn./Fiddle|Violino/Violini/Vl./Vln./Viol.|Violon/Violons/Vons/Von"
        "|Violine/Violinen/Geige/Geigen/Vl./Viol."
    ),
    "viola": (
        "Viola/Violas/Vla./Va.|Viola/Viole/Vle./Vla.|Alto/Altos/Alto à cordes|Bratsche/Bratschen/Br./Viola"
    ),
    "cello": (
        "Cello/Cellos/Violoncello/Violoncellos/Vc./Vcl./Vlc.|Violoncello/Violoncelli/Vc./Vcl."
        "|Violoncelle/Violoncelles/Vcelle/Vlles|Violoncell/Violoncelle/Cello/Celli/Vcl."
    ),
    "double-bass": (
        "Double Bass/Double Basses/D. B./Db./String Bass/Str. Bass/Contrabass/Contrabasses/Cb./"
        "Upright Bass|Contrabbasso/Contrabbassi/Cb./Violone|Contrebasse/Contrebasses/C. B."
        "|Kontrabass/Kontrabässe/Kb./Kontrabaß/Contrabass"
    ),
    "harp": "Harp/Harps/Hp.|Arpa/Arpe|Harpe/Harpes|Harfe/Harfen/Hrf.",
    "guitar": (
        "Guitar/Guitars/Gtr./Acoustic Guitar/Classical Guitar|Chitarra/Chitarre/Chit."
        "|Guitare/Guitares|Gitarre/Gitarren/Git."
    ),
    "guitar-electric": (
        "Electric Guitar/Electric Guitars/E. Gtr.|Chitarra elettrica/Chitarre elettriche"
        "|Guitare électrique/Guitares électriques|E-Gitarre/E-Gitarren"
    ),
    "bass-guitar": (
        "Bass Guitar/Bass Guitars/Electric Bass/E. Bass/El. Bass|Basso elettrico/Bassi elettrici"
        "|Basse électrique/Guitare basse|E-Bass/Bassgitarre/E-Bässe"
    ),
    "mandolin": "Mandolin/Mandolins|Mandolino/Mandolini|Mandoline/Mandolines|Mandoline/Mandolinen",
    "ukulele": "Ukulele/Ukuleles|Ukulele|Ukulélé/Ukulélés|Ukulele",
    "banjo": "Banjo/Banjos|Banjo|Banjo|Banjo",
    "piano": (
        "Piano/Pianos/Pno./Pianoforte/Pf.|Pianoforte/Pianoforti/Pf.|Piano/Pianos"
        "|Klavier/Klaviere/Klav./Hammerklavier"
    ),
    "organ": "Organ/Organs/Org.|Organo/Organi/Org.|Orgue/Orgues|Orgel/Orgeln/Org.",
    "harpsichord": (
        "Harpsichord/Harpsichords/Hpsd./Hch.|Clavicembalo/Cembalo/Clavicembali/Continuo/Basso continuo"
        "|Clavecin/Clavecins|Cembalo/Cembali/Cemb."
    ),
    "celesta": "Celesta/Celestas/Cel./Celeste|Celesta/Celeste|Célesta/Célestas|Celesta/Celesten",
    "accordion": (
        "Accordion/Accordions/Acc.|Fisarmonica/Fisarmoniche|Accordéon/Accordéons|Akkordeon/Akkordeons"
    ),
    "synthesizer": (
        "Synthesizer/Synthesizers/Synth/Keyboard/Keyboards|Sintetizzatore/Sintetizzatori"
        "|Synthétiseur/Clavier|Synthesizer/Keyboard"
    ),
    "soprano": (
        "Soprano/Sopranos/S./Sopr./Treble/Trebles/Superius/Cantus|Soprano/Soprani/S."
        "|Soprano/Sopranos/Dessus|Sopran/Soprane/Diskant"
    ),
    "mezzo-soprano": (
        "Mezzo-soprano/Mezzo-sopranos/Mezzo/Ms.|Mezzosoprano/Mezzosoprani"
        "|Mezzo-soprano/Mezzo-sopranos/Bas-dessus|Mezzosopran/Mezzosoprane"
    ),
    "alto": (
        "Alto/Altos/A./Contralto/Contraltos/Altus/Countertenor/Contratenor|Contralto/Contralti/Alto"
        "|Alto/Altos/Contralto/Haute-contre|Alt/Alte/Altstimme"
    ),
    "tenor": "Tenor/Tenors/T./Ten.|Tenore/Tenori/T.|Ténor/Ténors/Taille|Tenor/Tenöre/Ten.",
    "baritone-voice": (
        "Baritone (voice)/Baritone Voice/Baritone Solo|Baritono/Baritoni"
        "|Baryton (voix)/Basse-taille|Bariton (Stimme)"
    ),
    "bass-voice": (
        "Bass/Basses (voice)/Bass Voice/Bass-baritone/Bassus|Basso/Bassi|Basse/Basses|Bass (Stimme)/Bässe"
    ),
    "voice": (
        "Voice/Voices/Vocals/Singer/Vox/Choir/Chorus|Voce/Voci/Canto/Coro|Voix/Chant/Chœur"
        "|Stimme/Stimmen/Gesang/Singstimme/Chor"
    ),
}
"""Rows of names by instrument id. Crooks share the names of their kind."""
