"""The form of a station: what it is, what it offers and when, its places and the ways between them, its trucks."""

from __future__ import annotations

from typing import Any, Final, TypeVar

from PySide6.QtWidgets import QWidget

from legtide.day import edits_stations
from legtide.day.document import TANKS, Day, Offer, Place, Station, Tank, Truck
from legtide.day.edits import rebuilt
from legtide.draw.words import TANK_SERVICE
from legtide.language import tr
from legtide.view.amounts import (
    minutes_reader,
    minutes_typed,
    price_reader,
    temperature_reader,
    temperature_typed,
    zone_names,
    zone_reader,
)
from legtide.view.cells_table import CellsPanel, CellsTable
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form, Weighed
from legtide.view.forms.service_forms import Apply
from legtide.view.forms.station_tables import made_of, places_cells, renames, travel_cells, trucks_cells
from legtide.view.forms.weighing import weighed
from legtide.view.readers import key_reader, text_reader
from legtide.view.spans import spans_reader, spans_typed
from legtide.view.travel_cells import TravelCells
from legtide.view.units import Unit, plain

MOST_HOURS: Final = 50
WAY_PX: Final = 72
_Value = TypeVar("_Value")


class StationForm(Form):
    """Edits a station with all that belongs to it, or enters a new one; one press is one step."""

    def __init__(self, day: Day, station: Station | None, unit: Unit, apply: Apply, parent: QWidget) -> None:
        title = tr("New station") if station is None else tr("Station {code}").format(code=station.code)
        about = tr("Times are UTC; the local ones stand below the field. Enter or F2 edits a cell of a table.")
        super().__init__(title, about, self._applied, parent, weigh=self._weighed, guarded=True)
        self._day, self._station, self._unit, self._apply = day, station, unit, apply
        self._shown = station or Station(code=" ")
        self._first_page()
        self._places_page()
        self._trucks_page()
        self._follow_names()

    # pages ------------------------------------------------------------------------------------------------

    def _first_page(self) -> None:
        shown, day = self._shown, self._day
        self.pages.begin_page(tr("Station and services"))
        self.pages.begin_section(tr("Station"))
        taken = [row.code for row in day.stations if row is not self._station]
        code = LineField(key_reader(tr("code"), lambda: taken), self._station.code if self._station else "")
        self.add("code", tr("Code"), code)
        self.add("name", tr("Name"), LineField(text_reader(400), shown.name))
        zone = LineField(zone_reader(day.date), shown.time_zone, "Region/City", words=zone_names())
        self.add("time_zone", tr("Time zone"), zone)
        air = "" if shown.outside_air_c is None else temperature_typed(shown.outside_air_c)
        unknown = tr("not known: no caution against frost")
        self.add("outside_air_c", tr("Outside air"), LineField(temperature_reader(-80, 60, empty=unknown), air, "°C"))
        water = LineField(temperature_reader(0, 60), temperature_typed(shown.water_c), "°C")
        self.add("water_c", tr("Water filled here"), water)
        approved = {True: tr("approved point"), False: tr("not approved: no water from here")}
        self.add("approved_water", tr("Water point"), ChoiceField(approved, shown.approved_water))
        self.add("remark", tr("Remark"), LineField(text_reader(400), shown.remark))
        self.pages.begin_column()
        for tank in TANKS:
            self.pages.begin_section(tr(TANK_SERVICE[tank]))
            self._offer_rows(tank, next((row for row in shown.offers if row.tank == tank), None))
        zone.edited.connect(self._read_times_again)

    def _offer_rows(self, tank: Tank, offer: Offer | None) -> None:
        self.add(f"{tank}_offered", tr("Offered"), ChoiceField({True: tr("yes"), False: tr("no")}, offer is not None))
        typed = "" if offer is None else spans_typed(offer.hours, self._day.date, self._zone())
        always = tr("round the clock")
        reader = spans_reader(self._day.date, self._zone, most=MOST_HOURS, empty=always)
        self.add(f"{tank}_hours", tr("Hours (UTC)"), LineField(reader, typed, always))
        price = "" if offer is None or offer.price is None else plain(offer.price)
        known = self._day.policy.price_fresh_service if tank == "fresh" else self._day.policy.price_waste_service
        usual = tr("the policy's: {price}").format(price=plain(known.value))
        self.add(f"{tank}_price", tr("Price"), LineField(price_reader(1e6, empty=usual), price))

    def _places_page(self) -> None:
        self.pages.begin_page(tr("Places and ways"))
        self.places = places_cells(self._station, self._unit)
        about = tr("Where trucks drive to. A place that is renamed keeps its stands, trucks and minutes.")
        table = CellsTable(self.places, tr("Places"), tr("Add a place"), about=about)
        self.pages.begin_section(tr("Places"))
        self.add_part("places", table)
        self.pages.begin_column()
        self.pages.begin_section(tr("Minutes between places, both ways"))
        usual = LineField(minutes_reader(), minutes_typed(self._shown.default_travel_min))
        self.add("default_travel_min", tr("Where nothing is entered"), usual)
        self.travel: TravelCells = travel_cells(self._station, self._usual)
        ways = CellsPanel(self.travel, tr("Minutes between places"), about=tr("Choose a cell, and type minutes."))
        ways.view.horizontalHeader().setDefaultSectionSize(WAY_PX)
        ways.view.horizontalHeader().setStretchLastSection(False)
        self.add_part("travel", ways)
        usual.edited.connect(ways.view.viewport().update)

    def _trucks_page(self) -> None:
        self.pages.begin_page(tr("Trucks"))
        self.trucks = trucks_cells(
            self._station, self._unit, self._day.date, self._zone, self.places.keys, self.fields["code"].line.text
        )
        about = tr("A truck that handles waste never handles water.")
        self.add_part("trucks", CellsTable(self.trucks, tr("Trucks"), tr("Add a truck"), about=about, rows=8))

    def _follow_names(self) -> None:
        """The ways and the trucks follow the table of places."""
        self.places.renamed.connect(self.travel.rename)
        self.places.renamed.connect(lambda old, new: self.trucks.follow("start_place", old, new))
        self.places.edited.connect(lambda: self.travel.set_places(self.places.keys()))
        self.places.edited.connect(self.trucks.refresh)
        self.places.edited.connect(self._mark_pages)

    # reading ----------------------------------------------------------------------------------------------

    def _zone(self) -> str:
        field = self.fields.get("time_zone")
        return self._shown.time_zone if field is None or not field.valid else str(field.value)

    def _usual(self) -> str:
        field = self.fields["default_travel_min"]
        return minutes_typed(field.value if field.valid else self._shown.default_travel_min)

    def _read_times_again(self) -> None:
        for tank in TANKS:
            self.fields[f"{tank}_hours"].read_again()
        if "trucks" in self.fields:
            self.trucks.refresh()

    def station(self, values: dict[str, Any]) -> tuple[Station, dict[str, str], dict[str, str]]:
        """The station that these values make, and the new ids of its places and trucks."""
        parts = ("places", "travel", "trucks")
        offers = tuple(f"{tank}_{what}" for tank in TANKS for what in ("offered", "hours", "price"))
        changes = {name: value for name, value in values.items() if name not in (*parts, *offers)}
        changes["offers"] = self._offers(values)
        place_rows, truck_rows = self.fields["places"].value, self.fields["trucks"].value
        changes["places"] = made_of(Place, place_rows)
        changes["trucks"] = made_of(Truck, truck_rows)
        changes["travel"] = self.travel.entered if self.travel.touched else self._shown.travel
        return rebuilt(self._shown, **changes), renames(place_rows), renames(truck_rows)

    def _offers(self, values: dict[str, Any]) -> tuple[Offer, ...]:
        """The offers: the first of each tank as entered, further ones of an offered tank as they were."""
        kept = list(self._shown.offers)
        for tank in TANKS:
            offered = self.fields[f"{tank}_offered"].value
            first = next((row for row in kept if row.tank == tank), None)
            if not offered:
                kept = [row for row in kept if row.tank != tank]
                continue
            was = first or Offer(tank=tank)
            new = rebuilt(
                was,
                hours=values.get(f"{tank}_hours", was.hours),
                price=values.get(f"{tank}_price", was.price),
            )
            kept = [*kept, new] if first is None else [new if row is first else row for row in kept]
        return tuple(kept)

    # taking -----------------------------------------------------------------------------------------------

    def _changed(self, values: dict[str, Any]) -> Day:
        station, places, trucks = self.station(values)
        if self._station is None:
            return edits_stations.add_station(self._day, station)
        return edits_stations.put_station(self._day, self._station.code, station, places=places, trucks=trucks)

    def _weighed(self, values: dict[str, Any]) -> Weighed:
        if not self.touched:
            return Weighed()
        after = self._changed(values)
        number = len(after.stations) - 1 if self._station is None else self._day.stations.index(self._station)
        return weighed(self._day, after, f"stations[{number}]")

    def _applied(self, values: dict[str, Any]) -> str:
        code = values.get("code", self._shown.code)
        words = tr("Add station {code}") if self._station is None else tr("Change station {code}")
        return self._apply(self._changed(values), words.format(code=code))
