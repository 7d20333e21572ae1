"""Slackwater's core: what the phone shells use, for scripts and tests.

Objects and errors come from ``bindings/ffi``; the records and enums of the screens from
``core/screens/src``. Both are written by ``cargo xtask bindings``, with the library beside them.
"""

try:
    from ._generated.slackwater import *  # noqa: F401,F403
    from ._generated.slackwater_core import *  # noqa: F401,F403
except ImportError as missing:
    raise ImportError(
        f"{missing}. The generated part is not committed: run `cargo xtask bindings` first."
    ) from missing
