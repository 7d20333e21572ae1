"""The scenario of ``bindings/SMOKE.md``, step by step."""

import json
import pathlib
import tempfile
import threading
import unittest

import slackwater as sw
from slackwater import SlackwaterError

MORNING_MS = 1780293600000
NO_NUMBERS = ["NaN", "inf", "-inf", "1e999", "twelve"]


def typed(**values):
    return [sw.FieldValue(key=key, value=value) for key, value in values.items()]


def blocks(page, kind):
    return [b for b in page.blocks if isinstance(b, kind)]


def rows(page, title=None):
    return [r for b in blocks(page, sw.Block.ROWS) if title in (None, b.title) for r in b.rows]


def lines(page):
    return [line for b in blocks(page, sw.Block.LINES) for line in b.lines]


def buttons(page):
    return [button for b in blocks(page, sw.Block.BUTTONS) for button in b.buttons]


class Smoke(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = folder.name

    def open(self, **options):
        given = {
            "folder": self.folder,
            "utc_offset_minutes": 120,
            "fixed_time_ms": MORNING_MS,
            **options,
        }
        store = sw.Slackwater.open(sw.OpenOptions(**given))
        self.addCleanup(store.close)
        return store

    def show(self, store, kind=None, **parts):
        """The page of what is named, over the rigs."""
        places = [{"Rigs": {"form": None}}] + ([{kind: parts}] if kind else [])
        store.screens().restore(json.dumps(places))
        return store.screens().page()

    def rigs(self, store):
        return [r.title for r in rows(self.show(store))]

    def new_rig(self, store, name):
        page = self.show(store, "Rigs", form="new")
        values = typed(name=name, template="housing-and-monitor")
        return store.screens().submit(page.at, "new", values)

    def reef_rig(self, store):
        """Opens the demo's rig by its row, and gives its id."""
        page = self.show(store)
        row = next(r for r in rows(page) if r.title == "Reef rig")
        store.screens().act(page.at, row.tap.action)
        return json.loads(store.screens().page().at)["Rig"]["rig"]

    # SlackwaterError.X is a class only at run time.
    def refused(self, kind, call, *args):
        with self.assertRaises(kind) as caught:
            call(*args)
        return caught.exception.reason

    def test_01_fresh(self):
        store = self.open()
        page = store.screens().page()
        self.assertIn('"Start"', page.at)
        self.assertTrue(page.back)
        store.screens().back()
        page = store.screens().page()
        self.assertEqual(rows(page), [])
        self.assertTrue([line for line in lines(page) if line.text])
        self.assertFalse(page.back)
        self.assertTrue(store.build_id().startswith("slackwater "), store.build_id())

    def test_02_back_and_kept(self):
        store = self.open(demo=True)
        screens = store.screens()
        self.reef_rig(store)
        rig = screens.page()
        self.assertTrue(rig.back)
        seals = next(b for b in buttons(rig) if b.label == "Seals")
        screens.act(rig.at, seals.action)
        kept = screens.page().kept
        screens.back()
        self.assertEqual(screens.page(), rig)
        # A tap that comes late, from a page that is gone, does nothing.
        self.assertEqual(len(screens.act("elsewhere", seals.action).faults), 1)
        self.assertEqual(screens.page(), rig)
        screens.restore("nonsense")
        self.assertFalse(screens.page().back)
        screens.restore(kept)
        self.assertEqual(screens.page().kept, kept)

    def test_03_not_a_number(self):
        store = self.open(demo=True)
        rig = self.reef_rig(store)
        before = self.show(store, "Journal", rig=None, before=None)
        for text in NO_NUMBERS:
            at = self.show(store, "Recheck", rig=rig).at
            values = typed(temperature=text, ambient="1012", stood="here")
            reply = store.screens().submit(at, "air", values)
            self.assertEqual([f.field for f in reply.faults], ["temperature"], text)
            self.assertTrue(reply.faults[0].text)
        self.assertEqual(self.show(store, "Journal", rig=None, before=None), before)

    def test_04_a_day_on_deck(self):
        store = self.open(demo=True)
        screens, rig = store.screens(), self.reef_rig(store)

        def on_rig():
            return self.show(store, "Rig", rig=rig, form=None)

        def in_the_way():
            return rows(on_rig(), "")

        def send(form, **values):
            reply = screens.submit(screens.page().at, form, typed(**values))
            self.assertEqual(reply.faults, [])

        def tap(button):
            self.assertEqual(screens.act(screens.page().at, button.action).faults, [], button.label)

        self.assertNotEqual(on_rig().answer.mark, sw.Mark.FULL)
        self.assertTrue(in_the_way())
        for row in in_the_way():
            self.assertIsNotNone(row.tap, row.title)

        self.show(store, "HoldSetup", rig=rig, enclosure="monitor")
        send(
            "setup",
            gauge="203.4", temperature="24", ambient="1012", unit="mbar", open="nothing",
            resolution="0.1", source="inside", camera="cold", desiccant="none", stood="here",
        )
        for _ in range(60):
            store.advance_clock(60_000)
            send("reading", gauge="203.4", temperature="24", ambient="1012")
            end = [b for b in buttons(screens.page()) if b.label == "End the hold with this verdict"]
            if end:
                break
        self.assertTrue(end, "60 readings and no verdict")
        self.assertIsNotNone(end[0].confirm)
        tap(end[0])
        plug = screens.page().main
        self.assertEqual(plug.label, "Record the plug in: Monitor housing")
        tap(plug)

        def recheck():
            return self.show(store, "Recheck", rig=rig)

        # Sooner a leak at the limit would not show.
        store.advance_clock(20 * 60_000)
        air = blocks(recheck(), sw.Block.FIELDS)[0].form
        cameras = {f.key: "off" for f in air.fields if "camera" in f.key}
        temperatures = {f.key: "24" for f in air.fields if "temperature" in f.key}
        place = {f.key: "here" for f in air.fields if f.key == "stood"}
        send("air", ambient="1012", **temperatures, **cameras, **place)
        while gauge := next((b for b in blocks(recheck(), sw.Block.FIELDS) if b.at_thumb), None):
            page = recheck()
            # What is foretold stands before the field.
            before = page.blocks[: page.blocks.index(gauge)]
            foretold = [b for b in before if isinstance(b, sw.Block.FIGURES)][-1].figures[0]
            send(gauge.form.key, gauge=foretold.value)
        offered = [b for b in buttons(recheck()) if b.label != "About this page"]
        for button in offered:
            self.assertTrue(button.label.startswith("Record the plug in"), button.label)
            recheck()
            tap(button)
        # Two have to see the plugs: the other member is asked by name, and signs.
        (plugs,) = in_the_way()
        on_rig()
        tap(plugs.tap)
        tap(screens.page().main)
        tap(screens.page().main)
        self.assertEqual([row.title for row in in_the_way()], [])
        self.assertEqual(on_rig().answer.mark, sw.Mark.FULL, on_rig().answer)

        monitor = next(r for r in rows(on_rig(), "Enclosures") if r.title == "Monitor housing")
        tap(monitor.tap)  # what proves it; it is opened there
        opening = next(b for b in buttons(screens.page()) if b.label == "Open Monitor housing")
        self.assertIsNotNone(opening.confirm, "it asks first")
        tap(opening)
        self.assertNotEqual(on_rig().answer.mark, sw.Mark.FULL, on_rig().answer)
        self.assertTrue(in_the_way())

    def test_05_absent(self):
        store = self.open()
        show = lambda: self.show(store, "Rig", rig="nowhere", form=None)
        reason = self.refused(SlackwaterError.NotFound, show)
        self.assertIn("nowhere", reason)
        self.refused(SlackwaterError.NotFound, store.screens().undo, "nothing")

    def test_06_bad_input(self):
        bad = SlackwaterError.BadInput
        reason = self.refused(bad, lambda: self.open(device_seed=b"abc"))
        self.assertIn("3 bytes", reason)
        language = sw.LanguageFile(tag="de", source="??? = {")
        reason = self.refused(bad, lambda: self.open(language=language))
        self.assertIn("line 1", reason)
        store = self.open(fixed_time_ms=None)
        reason = self.refused(bad, store.photos().add, "rig/x", "", b"no photo at all")
        self.assertIn("photo", reason)
        self.assertIn("clock", self.refused(bad, store.advance_clock, 1))
        paper = sw.Document(name="wrong.toml", media_type="text/plain", bytes=b"this = is not\n[a procedure")
        self.assertTrue(store.screens().receive(paper).faults)

    def test_07_busy(self):
        first = self.open()
        self.refused(SlackwaterError.Busy, self.open)
        first.close()
        self.rigs(self.open())

    def test_08_damaged(self):
        self.open().close()
        database = next(pathlib.Path(self.folder).glob("*.db"))
        nonsense = b"nonsense " * 4096
        database.write_bytes(nonsense)
        page = self.show(self.open())
        self.assertTrue([n for n in lines(page) if n.severity == sw.Severity.BLOCKING])
        kept = [p for p in pathlib.Path(self.folder).iterdir() if p.is_file()]
        self.assertIn(nonsense, [p.read_bytes() for p in kept])

    def test_09_panic(self):
        store = self.open()
        reason = self.refused(SlackwaterError.Internal, sw.fail_on_purpose)
        self.assertEqual(reason, "on purpose")
        self.rigs(store)

    def test_10_closed(self):
        store = self.open()
        self.new_rig(store, "Kept")
        screens, photos = store.screens(), store.photos()
        store.close()
        store.close()
        for call in [
            screens.page,
            lambda: screens.submit("x", "new", []),
            screens.back,
            lambda: screens.restore(""),
            lambda: screens.undo("x"),
            lambda: photos.add("x", "", b""),
            lambda: photos.add_file("x", "", "y"),
            lambda: photos.thumbnail("x"),
            store.words,
            lambda: store.set_utc_offset(0),
            lambda: store.advance_clock(1),
        ]:
            self.refused(SlackwaterError.Closed, call)
        self.assertEqual(self.rigs(self.open()), ["Kept"])

    def test_11_absurd_numbers(self):
        store = self.open()
        self.new_rig(store, "Kept")
        for call, numbers in [
            (store.set_utc_offset, [-(2**31), 2**31 - 1]),
            (store.advance_clock, [-(2**63), 2**63 - 1]),
            (lambda ms: self.open(fixed_time_ms=ms), [-(2**63), 2**63 - 1]),
        ]:
            for number in numbers:
                self.refused(SlackwaterError.BadInput, call, number)
                self.assertEqual(self.rigs(store), ["Kept"])

    def test_12_texts(self):
        store = self.open()
        name = "שלום 🐠 مرحبا"
        self.new_rig(store, name)
        self.assertEqual(store.screens().page().title, name)
        outcome = self.new_rig(store, "x" * 10_000)
        self.assertEqual([f.field for f in outcome.faults], ["name"])

    def test_13_threads(self):
        store = self.open()
        screens = store.screens()

        def make(name):
            # The page is everybody's: what is sent from one that is gone does nothing.
            values = typed(name=name, template="housing-and-monitor")
            while True:
                if not screens.submit(self.show(store).at, "new", values).faults:
                    return

        def change(n):
            for i in range(5):
                make(f"Rig {n} {i}")

        threads = [threading.Thread(target=change, args=(n,)) for n in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(sorted(self.rigs(store)), [f"Rig {n} {i}" for n in range(4) for i in range(5)])

    def test_14_no_action(self):
        store = self.open()
        before = self.show(store)
        for nonsense in ["", "tide", '{"Rig":{}}', "[" * 10_000]:
            self.refused(SlackwaterError.BadInput, store.screens().act, before.at, nonsense)
        self.assertEqual(store.screens().page(), before)


if __name__ == "__main__":
    unittest.main()
