"""The scenario of ``bindings/SMOKE.md``, step by step."""

import pathlib
import tempfile
import threading
import unittest

import slackwater as sw
from slackwater import Action, Place, SlackwaterError

MORNING_MS = 1780293600000
NO_NUMBERS = ["NaN", "inf", "-inf", "1e999", "twelve"]


def typed(**values):
    return [sw.FieldValue(key=key, value=value) for key, value in values.items()]


class Ear(sw.ChangeListener):
    """Notes what it hears, and whether two calls were ever under way at once."""

    def __init__(self):
        self.heard, self.overlaps, self.inside = [], 0, threading.Lock()

    def changed(self, revision):
        if not self.inside.acquire(blocking=False):
            self.overlaps += 1
            return
        self.heard.append(revision)
        self.inside.release()


class Broken(sw.ChangeListener):
    def changed(self, revision):
        raise ValueError("the listener broke")


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

    def rigs(self, store):
        return store.screens().show(Place.RIGS(form=None)).screen

    def new_rig(self, store, name):
        values = typed(name=name, template="housing-and-monitor")
        action = sw.RigsAction.SUBMIT(form="new", values=values)
        return store.screens().act(Place.RIGS(form="new"), Action.RIGS(action=action))

    def reef_rig(self, store):
        row = next(r for r in self.rigs(store).rigs if r.title == "Reef rig")
        return store.screens().act(Place.RIGS(form=None), row.tap.action).go

    # SlackwaterError.X is a class only at run time.
    def refused(self, kind, call, *args):
        with self.assertRaises(kind) as caught:
            call(*args)
        return caught.exception.reason

    def test_01_fresh(self):
        store = self.open()
        screen = self.rigs(store)
        self.assertEqual(screen.rigs, [])
        self.assertTrue(screen.empty.text)
        self.assertTrue(store.build_id().startswith("slackwater "), store.build_id())

    def test_02_listener(self):
        store, ear = self.open(), Ear()
        self.new_rig(store, "Before")
        subscription = store.subscribe(ear)
        self.assertEqual(len(ear.heard), 1)
        present = ear.heard[0]
        self.assertGreater(present, 0)
        self.rigs(store)
        self.assertEqual(ear.heard, [present])
        self.new_rig(store, "After")
        self.assertEqual(len(ear.heard), 2)
        self.assertGreater(ear.heard[1], present)
        subscription.close()
        self.new_rig(store, "Unheard")
        self.assertEqual(len(ear.heard), 2)

    def test_03_not_a_number(self):
        store = self.open(demo=True)
        screens, rig = store.screens(), self.reef_rig(store).rig
        recheck, journal = Place.RECHECK(rig=rig), Place.JOURNAL(rig=None, before=None)
        before = screens.show(journal)
        for text in NO_NUMBERS:
            values = typed(temperature=text, ambient="1012")
            action = sw.RecheckAction.SUBMIT(form="air", values=values)
            outcome = screens.act(recheck, Action.RECHECK(action=action))
            self.assertEqual([f.field for f in outcome.faults], ["temperature"], text)
            self.assertTrue(outcome.faults[0].text)
        self.assertEqual(screens.show(journal), before)

    def test_04_a_day_on_deck(self):
        store = self.open(demo=True)
        screens, rig = store.screens(), self.reef_rig(store)

        def on_rig():
            return screens.show(rig).screen

        def do_rig(action):
            return screens.act(rig, Action.RIG(action=action))

        screen = on_rig()
        self.assertNotEqual(screen.mark, sw.Mark.FULL)
        self.assertTrue(screen.obstacles)
        for row in screen.obstacles:
            self.assertIsNotNone(row.tap, row.title)

        setup = do_rig(sw.RigAction.HOLD(enclosure="monitor")).go
        values = typed(
            gauge="203.4", temperature="24", ambient="1012", unit="mbar", open="nothing",
            resolution="0.1", source="inside", camera="cold", desiccant="none", stood="here",
        )
        action = sw.HoldAction.SUBMIT(form="setup", values=values)
        outcome = screens.act(setup, Action.HOLD(action=action))
        self.assertEqual(outcome.faults, [])
        hold = outcome.go
        for _ in range(60):
            store.advance_clock(60_000)
            values = typed(gauge="203.4", temperature="24", ambient="1012")
            action = sw.HoldAction.SUBMIT(form="reading", values=values)
            self.assertEqual(screens.act(hold, Action.HOLD(action=action)).faults, [])
            main = screens.show(hold).screen.main
            if main is not None:
                break
        self.assertIsNotNone(main, "60 readings and no verdict")
        self.assertTrue(main.action.action.is_CONCLUDE(), main.action)
        screens.act(hold, main.action)
        main = screens.show(hold).screen.main
        self.assertTrue(main.action.action.is_PLUG_ON(), main.action)
        screens.act(hold, main.action)

        recheck = Place.RECHECK(rig=rig.rig)

        def send(form, **values):
            action = sw.RecheckAction.SUBMIT(form=form, values=typed(**values))
            outcome = screens.act(recheck, Action.RECHECK(action=action))
            self.assertEqual(outcome.faults, [])

        cameras = {f.key: "off" for f in screens.show(recheck).screen.air.fields if "camera" in f.key}
        send("air", temperature="24", ambient="1012", **cameras)
        for item in screens.show(recheck).screen.items:
            send(item.form.key, gauge=item.expected.value)
        for item in screens.show(recheck).screen.items:
            if item.next is not None:
                self.assertTrue(item.next.action.action.is_PLUG_ON(), item.next.action)
                screens.act(recheck, item.next.action)
        # Two have to see the plugs: the other member is asked by name, and signs.
        (plugs,) = on_rig().obstacles
        asked = screens.act(rig, plugs.tap.action).go
        page = screens.act(asked, screens.show(asked).screen.main.action).go
        signing = screens.show(page).screen.main
        self.assertTrue(signing.action.action.is_SIGN(), signing.action)
        self.assertEqual(screens.act(page, signing.action).faults, [])
        screen = on_rig()
        self.assertEqual([row.title for row in screen.obstacles], [])
        self.assertEqual(screen.mark, sw.Mark.FULL, screen.answer)

        do_rig(sw.RigAction.OPEN_CLOSURE(enclosure="monitor", closure=None))
        screen = on_rig()
        self.assertNotEqual(screen.mark, sw.Mark.FULL, screen.answer)
        self.assertTrue(screen.obstacles)

    def test_05_absent(self):
        screens = self.open().screens()
        place = Place.RIG(rig="nowhere", form=None)
        reason = self.refused(SlackwaterError.NotFound, screens.show, place)
        self.assertIn("nowhere", reason)
        self.refused(SlackwaterError.NotFound, screens.undo, "nothing")

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
        outcome = store.screens().add_procedure(b"this = is not\n[a procedure")
        self.assertTrue(outcome.faults)
        self.assertIn("ine ", outcome.faults[0].text)

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
        screen = self.rigs(self.open())
        self.assertTrue([n for n in screen.notices if n.severity == sw.Severity.BLOCKING])
        kept = [p for p in pathlib.Path(self.folder).iterdir() if p.is_file()]
        self.assertIn(nonsense, [p.read_bytes() for p in kept])

    def test_09_panic(self):
        store = self.open()
        reason = self.refused(SlackwaterError.Internal, sw.fail_on_purpose)
        self.assertEqual(reason, "on purpose")
        self.rigs(store)

    def test_10_closed(self):
        store = self.open()
        place = self.new_rig(store, "Kept").go
        screens, photos = store.screens(), store.photos()
        store.close()
        store.close()
        action = Action.RIGS(action=sw.RigsAction.OPEN_CREW())
        for call in [
            lambda: screens.show(place),
            lambda: screens.act(Place.RIGS(form=None), action),
            lambda: screens.undo("x"),
            lambda: screens.add_procedure(b""),
            lambda: photos.add("x", "", b""),
            lambda: photos.add_file("x", "", "y"),
            lambda: photos.thumbnail("x"),
            lambda: photos.export("x", False),
            store.words,
            lambda: store.set_utc_offset(0),
            lambda: store.advance_clock(1),
        ]:
            self.refused(SlackwaterError.Closed, call)
        self.assertEqual([r.title for r in self.rigs(self.open()).rigs], ["Kept"])

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
                self.assertEqual([r.title for r in self.rigs(store).rigs], ["Kept"])

    def test_12_texts(self):
        store = self.open()
        name = "שלום 🐠 مرحبا"
        place = self.new_rig(store, name).go
        self.assertEqual(store.screens().show(place).screen.name, name)
        outcome = self.new_rig(store, "x" * 10_000)
        self.assertEqual([f.field for f in outcome.faults], ["name"])

    def test_13_threads(self):
        store, ear = self.open(), Ear()
        broken = store.subscribe(Broken())
        store.set_utc_offset(0)
        broken.close()
        subscription = store.subscribe(ear)
        first = ear.heard[0]

        def change():
            for minutes in range(25):
                store.set_utc_offset(minutes)

        threads = [threading.Thread(target=change) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(ear.overlaps, 0)
        self.assertEqual(ear.heard, sorted(set(ear.heard)))
        self.assertEqual(ear.heard[-1], first + 100)
        subscription.close()


if __name__ == "__main__":
    unittest.main()
