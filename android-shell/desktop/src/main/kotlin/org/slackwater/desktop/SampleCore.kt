package org.slackwater.desktop

import java.awt.image.BufferedImage
import java.io.ByteArrayOutputStream
import javax.imageio.ImageIO
import org.slackwater.core.Action
import org.slackwater.core.Document
import org.slackwater.core.Outcome
import org.slackwater.core.Place
import org.slackwater.core.Screen
import org.slackwater.ui.core.AirPressure
import org.slackwater.ui.core.Core
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Photo

/** A picture of nothing in particular, as a camera would write it: a light band on a dark one. */
fun jpegOf(width: Int, height: Int): ByteArray {
    val image = BufferedImage(width, height, BufferedImage.TYPE_INT_RGB)
    for (x in 0 until width) for (y in 0 until height) {
        val band = if ((y * 5 / height + x * 2 / width) % 2 == 0) 60 else 0
        image.setRGB(x, y, ((90 + band) shl 16) or ((100 + band + y * 40 / height) shl 8) or (110 + band))
    }
    return ByteArrayOutputStream().also { ImageIO.write(image, "jpg", it) }.toByteArray()
}

/** A core that shows the samples, remembers what was asked of it and answers as told. */
class SampleCore : Core {
    val acted = mutableListOf<Pair<Place, Action>>()
    val undone = mutableListOf<String>()
    val offered = mutableListOf<AirPressure>()
    val brought = mutableListOf<Pair<String, Document>>()
    val received = mutableListOf<Pair<Place, Document>>()
    val photos = mutableListOf<Pair<String, String>>()

    /** What the next action answers. */
    var answer = Outcome(null, false, null, null, emptyList())

    /** What bringing a file in answers. */
    var broughtAnswer = answer

    /** When set, every call fails with it. */
    var failing: String? = null

    private fun <T> orFail(value: () -> T): T = failing?.let { throw CoreProblem(it) } ?: value()

    override fun show(place: Place): Screen = orFail { Samples.show(place) }

    override fun act(place: Place, action: Action): Outcome = orFail {
        acted += place to action
        answer
    }

    override fun undo(token: String): Outcome = orFail {
        undone += token
        answer
    }

    override fun offer(air: AirPressure) = orFail {
        offered += air
        Unit
    }

    override fun bring(place: Place, wanted: String, document: Document): Outcome = orFail {
        brought += wanted to document
        broughtAnswer
    }

    override fun receive(place: Place, document: Document): Outcome = orFail {
        received += place to document
        broughtAnswer
    }

    override fun addPhoto(subject: String, note: String, photo: Photo): Outcome = orFail {
        photos += subject to note
        answer
    }

    override fun listen(changed: () -> Unit): AutoCloseable {
        changed()
        return AutoCloseable {}
    }

    override fun words() = Samples.words

    override fun thumbnail(hash: String): String = orFail { "missing.jpg" }

    override fun large(hash: String): ByteArray = orFail { jpegOf(640, 480) }

    override fun close() = Unit
}
