"""How headings are worded in the field and in other languages; the columns' own synonyms stand in ``records.facts``.

Keys are a column (of every table that has it) or ``table.column``; values are wordings between commas, compared without
case, blanks, signs and accents. Common practice, no source.
"""

from __future__ import annotations

__all__ = ["IMPLIED", "MILES", "TOTALS", "WORDINGS"]

WORDINGS: dict[str, str] = {
    # English short forms, German, French, Spanish, Italian, Portuguese, Dutch, Nordic, Polish, Czech
    "station": """km, kilometre, kilometer, kilometrage, stn, ch, pk, pr, point kilometrique, km point, position km,
        mile, mile post, mp, milepoint, mile point, mile marker, bau km, baukilometer, betriebs km, betriebskilometer, station betriebs km, station bau km, stationierung, abscisse, punto kilometrico, p.k., progresiva, estacion, abscisa,
        progressiva, progressiva km, quilometro, quilometragem, estaca, hectometrering, hectometer, kilometrering,
        stationering, lengde, sektion, kilometraz, pikietaz, stanicenie, staniceni, staničení, kilometrovnik""",
    "begin": """km from, from km, from sta, km start, start km, km begin, begin km, from (km), beg, begins, start point,
        von, von km, km von, beginn, anfang, anfang km, bau km von, debut, de, du, pk debut, pr debut, du km, km debut,
        desde, desde km, km desde, km inicial, pk inicial, inicio, pk inicio, da, dal km, da km, km inizio, inizio,
        progressiva iniziale, de km, km inicio, vanaf, van, van km, begin hectometer, fra, fra km, fran, från, från km,
        start, od, od km, km od, poczatek, początek, zacatek, začátek, zacatek km""",
    "end": """km to, to km, to sta, km end, end km, km stop, to (km), ends, finish, end point, bis, bis km, km bis, ende,
        ende km, bau km bis, fin, au, pk fin, pr fin, au km, km fin, hasta, hasta km, km hasta, km final, pk final,
        al km, a km, km fine, fine, progressiva finale, ate, até, ate km, km fim, fim, tot, tot km, til, til km, till,
        till km, do, do km, km do, koniec, konec, konec km""",
    "lane": """lanes, lane code, traffic lane, fahrstreifen, fahrspur, spur, fs, streifen, voie, file, voie de
        circulation, carril, calzada y carril, carriles, corsia, corsie, faixa, via, rijstrook, strook, körfält, korfalt,
        kjørefelt, kjorefelt, felt, vognbane, spor, pas, pas ruchu, jizdni pruh, jízdní pruh, pruh""",
    "direction": """dir, travel direction, heading, richtung, fahrtrichtung, sens, sens de circulation, sentido,
        direccion, direzione, senso, richting, riktning, retning, kierunek, smer, směr""",
    "lanes.position": "no, nr, number, order, nummer, numero, rang, orden, ordine, ordem, volgnummer, kolejnosc, poradi",
    "lanes.width": """breite, fahrstreifenbreite, largeur, ancho, anchura, larghezza, largura, breedte, bredd, bredde,
        szerokosc, szerokość, sirka, šířka""",
    "road.name": """project, road, route, highway, road name, road no, route no, strasse, straße, autobahn, projekt, projet,
        nom, route nationale, carretera, autovia, proyecto, nombre, strada, progetto, nome, estrada, rodovia, projeto,
        weg, naam, vag, väg, vei, vej, droga, nazwa, silnice, dalnice, nazev, název, name of the road, name of road, name der
        straße, straßenname, nom de la route, nombre de la carretera, nombre de la vía, nome della strada, nome da estrada,
        nome da rodovia, naam van de weg, wegnaam, vägens namn, vägnamn, vegens navn, veinavn, vejens navn, vejnavn,
        nazwa drogi, název silnice, název komunikace""",
    "road.stationing": "stations in, station units",
    "bridges.name": """no, nr, bridge no, bridge name, structure no, structure name, bauwerk, brucke, brücke, bruckenname,
        ouvrage, pont, nom, puente, estructura, obra, nombre, ponte, viadotto, opera, nome, brug, kunstwerk, naam, bro,
        bru, most, obiekt, nazwa, nazev, název""",
    "bridges.passes": """carries/over, carries over, over under, over/under, on over, carries, under over, under/over,
        lage, position, lagebezug, trage, uberfuhrt, passage, situation, paso, tipo, passaggio, ligging, trägt/über,
        über/unter, porte/franchit, porte/au-dessus, dessus/dessous, PS/PI, soporta/sobre, sobre/bajo, porta/sopra,
        sopra/sotto, suporta/sobre, sobre/sob, draagt/over, over/onder, bär/över, över/under, bærer/over, niesie/nad,
        nad/pod, nese/nad, nese/přes""",
    "bridges.clearance": """headroom, clear height, clearance height, lichte hohe, lichte höhe, durchfahrtshohe,
        durchfahrtshöhe, gabarit, hauteur libre, galibo, gálibo, altezza libera, altura livre, gabarito, doorrijhoogte,
        fri hojd, fri höjd, fri hoyde, skrajnia, podjezdna vyska""",
    "bridges.required_clearance": """required headroom, min clearance, min headroom, required clearance, mindesthohe,
        mindesthöhe, gabarit minimal, galibo minimo, gálibo mínimo""",
    "ramps.name": """no, nr, ramp name, ramp no, rampe, bretelle, nom, ramal, rampa, nombre, nome, svincolo, alca, toerit,
        oprit, afrit, naam, afkorsel, lacznica, łącznica, nazwa, vetev, větev""",
    "ramps.kind": """on off, on/off, ramp type, art, einfahrt ausfahrt, sens, entree sortie, entrée/sortie, tipo,
        entrada salida, entrada/salida, entrata uscita, soort, typ""",
    "layers.pavement": """pavement kind, concrete type, surface type, surface, bauweise, befestigung, deckenart,
        deckentyp, type de chaussee, chaussee, chaussée, revetement, firme, tipo de firme, pavimento, tipo pavimento,
        pavimentazione, tipo de pavimento, verharding, type verharding, belagning, beläggning, dekke, belaegning, nawierzchnia,
        typ nawierzchni, vozovka, typ vozovky, kryt""",
    "layers.thickness": """concrete, slab, concrete thickness, thickness concrete, thickness slab, pcc, dicke, dicke
        beton, dicke platte, espesor hormigón, spessore calcestruzzo, espessura betão, espessura concreto, dikte beton,
        tjocklek betong, tykkelse betong, grubość betonu, tloušťka betonu, deckendicke, betondicke, plattendicke, beton,
        epaisseur, épaisseur, epaisseur beton, epaisseur dalle, dalle, espesor, espesor losa, losa, hormigon, spessore,
        spessore lastra, lastra, calcestruzzo, espessura, espessura da laje, laje, dikte, betondikte, tjocklek, tykkelse,
        betongtykkelse, grubosc, grubość, grubosc plyty, plyta, tloustka, tloušťka, tloustka desky, deska""",
    "layers.joint_spacing": """joints, spacing, panel length, slab len, fugenabstand, plattenlange, plattenlänge,
        espacement des joints, longueur de dalle, distancia entre juntas, longitud de losa, interasse giunti, lunghezza
        lastra, espacamento das juntas, voegafstand, fogavstand, fugeafstand, rozstaw szczelin, vzdalenost spar""",
    "layers.dowelled": """dowel, dubel, dübel, verdubelt, verdübelt, goujons, goujonnes, goujonné, pasadores, barre di
        compartecipazione, barras de transferencia, deuvels, dyblar, dybler, dyble, trny""",
    "layers.base": """subbase, base course, tragschicht, unterlage, fondation, couche de fondation, base granular,
        fondazione, sub base, fundering, baerlag, bärlager, bærelag, podbudowa, podklad, podkladni vrstva""",
    "layers.base_thickness": """base (mm), thickness base, thickness subbase, épaisseur couche de fondation, espesor
        subbase, tjocklek bärlager, tykkelse bærelag, tloušťka podkladní vrstvy, tragschicht (mm),
        dicke tragschicht, tragschichtdicke, epaisseur fondation, espesor base,
        spessore fondazione, espessura base, dikte fundering, grubosc podbudowy, tloustka podkladu""",
    "layers.shoulder": "shoulders, standstreifen, bankett, accotement, bau, arcen, arcén, banchina, berma, vluchtstrook",
    "layers.drainage": "drain, entwasserung, entwässerung, drenaje, drenaggio, drenagem, afwatering",
    "layers.year_built": """opened, open, opening, year opened, opened in, opened to traffic, constructed, construction
        year, year of construction, baujahr, jahr, verkehrsfreigabe, eroffnet, eröffnet, annee, année, annee de
        construction, mise en service, ano, año, ano de construccion, puesta en servicio, anno, anno di costruzione, ano de
        construcao, ano construção, bouwjaar, jaar, aanlegjaar, byggar, byggår, bygget, rok, rok budowy, rok vystavby,
        rok výstavby""",
    "deflections.position": """place on slab, slab position, plate position, lage, lage auf der platte, prufpunkt lage,
        emplacement, posicion, posición, posizione, posicao, posição, plaats, positie, lage der platte, polozenie, poloha""",
    "deflections.point": "no, nr, id, messpunkt, punkt, prufpunkt, point de mesure, punto, ponto, meetpunt, bod",
    "deflections.drop": "blow, hit, fall, schlag, fallnr, coup, chute, golpe, impacto, colpo, slag, uder, uderzenie, upust",
    "deflections.load": """centre load, center load, plate load, applied load, max load, load level, last, belastung, kraft, stosskraft, charge, force, carga, fuerza, carico, forza, forca, belasting,
        kracht, belastning, obciazenie, obciążenie, sila, siła, síla, zatizeni""",
    "deflections.air_temperature": """lufttemperatur, t luft, temperature air, temperature de l'air, temp air, temperatura
        aire, temperatura aria, temperatura ar, luchttemperatuur, temperatura powietrza, teplota vzduchu""",
    "deflections.surface_temperature": """oberflachentemperatur, t oberflache, fahrbahntemperatur, temperature surface,
        temperature chaussee, temp surface, temperatura superficie, temperatura superficial, oppervlaktetemperatuur,
        temperatura nawierzchni, teplota povrchu""",
    "deflections.plate_radius": "plattenradius, rayon de plaque, radio placa, raggio piastra, raio da placa, plaatstraal",
    "date": """datum, messdatum, tag, jour, fecha, data, dia, dato, pvm""",
    "cores.core": """no, nr, core name, sample, sample no, kern, kern nr, bohrkern, bohrkern nr, probe, carotte, no
        carotte, n carotte, testigo, n testigo, no testigo, probeta, carota, n carota, no carota, carote, testemunho, boorkern, kern nummer, borrkarna, borrkärna,
        borekjerne, rdzen, rdzeń, nr rdzenia, vyvrt, vývrt, jadro, cislo""",
    "cores.thickness": """concrete, dicke, betondicke, lange, länge, kernlange, kernlänge, epaisseur, épaisseur, longueur,
        espesor, longitud, spessore, lunghezza, espessura, comprimento, dikte, lengte, tjocklek, tykkelse, grubosc,
        grubość, tloustka, tloušťka""",
    "cores.diameter": "durchmesser, diametre, diamètre, diametro, diámetro, diameter, srednica, średnica, prumer, ø",
    "cores.compressive_strength": """druckfestigkeit, resistance, resistance a la compression, rc, resistencia,
        resistencia a compresion, resistenza, resistenza a compressione, druksterkte, tryckhallfasthet, trykkfasthet,
        wytrzymalosc, wytrzymałość na ściskanie, pevnost, pevnost v tlaku, compression""",
    "cores.split_strength": """spaltzugfestigkeit, resistance au fendage, fendage, traccion indirecta, trazione
        indiretta, tracao, splijttreksterkte, spaltfestigkeit""",
    "note": "bemerkung, bemerkungen, anmerkung, remarque, remarques, observation, observaciones, nota, notas, note, "
    "osservazioni, observacoes, opmerking, opmerkingen, anmarkning, anmärkning, merknad, uwagi, poznamka, poznámka",
    "distresses.station": "location km, km at, at km, at",
    "distresses.kind": """defect, defects, damage, distress code, defect type, kind of defect, schaden, schadensart,
        schadenart, schadensbild, degradation, dégradation, type de degradation, defaut, défaut, deterioro, dano, daño,
        patologia, degrado, difetto, ammaloramento, defeito, schade, schadetype, skada, skade, uszkodzenie, rodzaj
        uszkodzenia, porucha, typ poruchy, art, schäden, betonschaden, betonschäden, concrete damage, concrete
        defect, concrete defects, concrete distress, dégradations, dégradation du béton, dégradations du béton, deterioros,
        daños, daños del hormigón, deterioro del hormigón, danni, danni del calcestruzzo, degrado del calcestruzzo, danos,
        danos do betão, danos do concreto, schades, betonschade, skador, betongskada, betongskador, skader, betongskade,
        betongskader, betonskade, betonskader, uszkodzenia, uszkodzenia betonu, poruchy, porucha betonu, poruchy betonu""",
    "distresses.severity": """grade, class, rating, schwere, schweregrad, stufe, gravite, gravité, niveau, gravedad,
        severidad, nivel, gravita, gravità, livello, gravidade, severidade, ernst, klasse, svarighet, alvorlighet,
        stopien, stopień, zavaznost, závažnost, stupen""",
    "distresses.length": """lange, länge, longueur, longitud, largo, lunghezza, comprimento, extensao, lengte, langd, längd, lengde,
        dlugosc, długość, delka, délka""",
    "distresses.area": """flache, fläche, surface, aire, superficie, area m2, oppervlak, yta, areal, powierzchnia, plocha""",
    "distresses.crack_width": "rissbreite, ouverture, ouverture fissure, abertura, ancho fisura, apertura, scheurwijdte",
    "distresses.faulting": """stufe (mm), step, versatz, stufenbildung, decalage, décalage, mise en escalier, escalonamiento,
        gradino, scalino, degrau, trapvorming""",
    "year": "jahr, annee, année, ano, año, anno, jaar, ar, år, rok",
    "counts.daily_traffic": """traffic, aadt both directions, veh per day, veh/day, vehicles/day, dtv, verkehr, kfz/24h, kfz pro
        tag, kfz/tag, dtv kfz, trafic, tmja, trafic journalier, vehicules/jour, imd, imda, intensidad media diaria, tgm, traffico,
        traffico giornaliero, vmd, vmda, trafego, tmd, etmaalintensiteit, intensiteit, adt vehicles, adt fordon, trafik, trafikk,
        sdr, srednioroczny ruch, rpdi, intenzita""",
    "counts.truck_share": """hgv, heavy, heavy vehicles, hgv share, hv, percent heavy, sv, sv anteil, schwerverkehr,
        schwerverkehrsanteil, lkw, lkw anteil, pl, part pl, poids lourds, % pl, pesados, porcentaje pesados, % pesados,
        pesanti, veicoli pesanti, % pesanti, veiculos pesados, vracht, vrachtverkeer, aandeel vracht, tung trafik, tunge
        kjoretoy, udzial ciezarowych, pojazdy ciezkie, tezka vozidla, podil tezkych""",
    "weather.air_temperature": """tmp, temp air, temperature air, lufttemperatur, temperatur, tt, temperatura, temperatuur,
        teplota, dry bulb temperature, air temperature 2 m, tmpc, tmpf, tt tu""",
    "weather.relative_humidity": """rel humidity, rel hum, relh, luftfeuchte, relative feuchte, rel feuchte, rel luftfeuchte, luftfeuchtigkeit, relative
        luftfeuchte, relative luftfeuchtigkeit, rel luftfeuchtigkeit, rf, humidite rel, humedad rel, umidita relativa,
        umidita rel, umidade relativa, relatieve vochtigheid, relativ fuktighet, rel fuktighet, humidite, humidité,
        humidite relative, humedad, humedad relativa, umidita, umidità, umidade, luchtvochtigheid, luftfuktighet,
        wilgotnosc, wilgotność, vlhkost, rf tu""",
    "weather.wind_speed": """sknt, wind spd, windspeed, wind velocity, ff, windgeschwindigkeit, vent, vitesse du vent, viento,
        velocidad viento, vento, velocita vento, windsnelheid, vindhastighet, vindstyrka, wiatr, predkosc wiatru, vitr,
        rychlost vetru""",
    "weather.global_radiation": """global, solar, radiation, globalstrahlung, strahlung, rayonnement, rayonnement global,
        radiacion, radiacion global, radiazione, radiazione globale, radiacao, globale straling, globalstralning,
        globalstråling, promieniowanie, zareni, globalni zareni""",
    "month": "monat, mois, mes, mese, mês, maand, manad, måned, miesiac, miesiąc, mesic, měsíc",
    "weather.day": "tag, jour, dia, día, giorno, dag, dzien, dzień, den",
    "weather.hour": "hr, hh, stunde, heure, hora, ora, uur, timme, godzina, hodina",
}

# Wordings of stations that say their own unit, and those of miles, which say it less surely.
IMPLIED = r"\b(bau|betriebs)?km\b|kilom|quilom|\bpk\b|\bp\.k\."
MILES = r"\bmiles?\b|\bmile ?(post|point|marker)|\bmp\b"

# Headings of the load where their unit is one of pressure: the pressure under the plate.
PRESSURES_TEXT = """pressure stress platepressure platestress contactpressure contactstress loadpressure loadstress druck
    plattendruck kontaktdruck kontaktspannung spannung pression contrainte presion tension pressione tensione druk"""
PRESSURES = frozenset(PRESSURES_TEXT.split())

# Codes of weather services that say their unit: common practice, no source.
SAY_UNITS = {"tmpc": "degC", "tmpf": "degF", "tttu": "degC", "sknt": "knot", "relh": "%", "rftu": "%"}

# First words of rows that add up or average the rows above.
TOTALS_TEXT = """total totals totalsum sum subtotal grandtotal mean average avg summe gesamt gesamtsumme zwischensumme mittel mittelwert
    durchschnitt somme totalgeneral soustotal moyenne suma promedio media totale somma totaal gemiddelde som summa
    medelvarde sammanlagt gjennomsnitt ialt gennemsnit razem srednia celkem soucet prumer minimum maximum stdev"""
TOTALS = frozenset(TOTALS_TEXT.split())
