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
        block = slackwater.Block.TITLE
        self.assertEqual(block(text="Seals"), block(text="Seals"))
        self.assertNotEqual(block(text="Seals"), block(text="Controls"))


if __name__ == "__main__":
    unittest.main()
