package org.slackwater.desktop

import java.awt.image.BufferedImage
import java.io.ByteArrayOutputStream
import javax.imageio.ImageIO
import org.slackwater.core.Action
import org.slackwater.core.Document
import org.slackwater.core.FieldValue
import org.slackwater.core.Page
import org.slackwater.core.Reply
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

/** A core that shows the samples, remembers what was asked of it and answers as told. Its pages bear their names. */
class SampleCore : Core {
    private val first = Samples.pages.keys.first()
    private var stack = listOf(first)

    val acted = mutableListOf<Pair<String, Action>>()
    val submitted = mutableListOf<Pair<String, List<FieldValue>>>()
    val undone = mutableListOf<String>()
    val offered = mutableListOf<AirPressure>()
    val brought = mutableListOf<Pair<String, Document>>()
    val received = mutableListOf<Document>()
    val photos = mutableListOf<Pair<String, String>>()

    /** What the next action answers, and which page it leads to; null to stay. */
    var answer = Reply(null, null, emptyList())
    var leads: String? = null

    /** What bringing a file in answers. */
    var broughtAnswer = answer

    /** When set, every call fails with it. */
    var failing: String? = null

    private fun <T> orFail(value: () -> T): T = failing?.let { throw CoreProblem(it) } ?: value()

    override fun page(): Page = orFail {
        val at = stack.last()
        val page = Samples.pages[at] ?: throw CoreProblem("There is no $at.")
        page.copy(at = at, step = stepOf(at), back = stack.size > 1, kept = stack.joinToString("/"))
    }

    /** Another step of the place that is shown; to try what a step that follows the last one does. */
    var step = ""

    private fun stepOf(at: String) = if (at == "ticks") step else ""

    override fun act(at: String, action: Action): Reply = orFail {
        acted += at to action
        leads?.let { stack = stack + it }
        answer
    }

    override fun submit(at: String, form: String, values: List<FieldValue>): Reply = orFail {
        submitted += form to values
        leads?.let { stack = stack.dropLast(1) + it }
        answer
    }

    override fun back() = orFail { if (stack.size > 1) stack = stack.dropLast(1) }

    override fun go(at: String) = orFail { stack = stack + at }

    override fun restore(kept: String) = orFail {
        stack = kept.split("/").filter { it.isNotEmpty() }.ifEmpty { listOf(first) }
    }

    override fun undo(token: String): Reply = orFail {
        undone += token
        answer
    }

    override fun offer(air: AirPressure) = orFail {
        offered += air
        Unit
    }

    override fun bring(wanted: String, document: Document): Reply = orFail {
        brought += wanted to document
        broughtAnswer
    }

    override fun receive(document: Document): Reply = orFail {
        received += document
        leads?.let { stack = stack + it }
        broughtAnswer
    }

    override fun addPhoto(subject: String, note: String, photo: Photo): Reply = orFail {
        photos += subject to note
        answer
    }

    override fun words() = Samples.words

    override fun thumbnail(hash: String): String = orFail { "missing.jpg" }

    override fun large(hash: String): ByteArray = orFail { jpegOf(640, 480) }

    override fun close() = Unit
}
