"""The library lies beside the binding and belongs to it."""

import pathlib
import unittest

import slackwater
from slackwater._generated import slackwater as surface


class Load(unittest.TestCase):
    def test_the_library_is_beside_the_binding(self):
        folder = pathlib.Path(surface.__file__).parent
        libraries = [p.name for p in folder.iterdir() if p.suffix in (".so", ".dylib", ".dll")]
        self.assertEqual(len(libraries), 1, libraries)

    def test_records_are_values(self):
        self.assertEqual(slackwater.Place.RIGS(form=None), slackwater.Place.RIGS(form=None))
        self.assertNotEqual(slackwater.Place.RIGS(form=None), slackwater.Place.RIGS(form="new"))


if __name__ == "__main__":
    unittest.main()
