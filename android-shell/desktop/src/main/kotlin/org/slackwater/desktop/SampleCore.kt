package org.slackwater.desktop

import org.slackwater.core.Action
import org.slackwater.core.Outcome
import org.slackwater.core.Place
import org.slackwater.core.Screen
import org.slackwater.ui.core.Core
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Photo

/** A core that shows the samples, remembers what was asked of it and answers as told. */
class SampleCore : Core {
    val acted = mutableListOf<Pair<Place, Action>>()
    val undone = mutableListOf<String>()
    val photos = mutableListOf<Pair<String, String>>()

    /** What the next action answers. */
    var answer = Outcome(null, false, null, null, emptyList())

    /** When set, every call fails with it. */
    var failing: String? = null

    private fun <T> orFail(value: () -> T): T = failing?.let { throw CoreProblem(it) } ?: value()

    override fun show(place: Place): Screen = orFail { Samples.show(place) }
    override fun act(place: Place, action: Action): Outcome = orFail { acted += place to action; answer }
    override fun undo(token: String): Outcome = orFail { undone += token; answer }
    override fun addPhoto(subject: String, note: String, photo: Photo): Outcome = orFail { photos += subject to note; answer }
    override fun listen(changed: () -> Unit): AutoCloseable {
        changed()
        return AutoCloseable {}
    }
    override fun words() = Samples.words
    override fun thumbnail(hash: String): String = orFail { "missing.jpg" }
    override fun close() = Unit
}
