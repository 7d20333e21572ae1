package org.slackwater.desktop

import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.graphics.toComposeImageBitmap
import java.awt.FileDialog
import java.awt.Frame
import java.awt.Toolkit
import java.io.File
import java.io.IOException
import java.util.Properties
import org.jetbrains.skia.Image
import org.slackwater.core.Document
import org.slackwater.ui.core.Alarm
import org.slackwater.ui.core.Camera
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Intake
import org.slackwater.ui.core.Photo
import org.slackwater.ui.core.Pictures
import org.slackwater.ui.core.Platform
import org.slackwater.ui.core.Settings
import org.slackwater.ui.core.Sharing
import org.slackwater.ui.design.Light

/** Reads pictures with Skia. */
object SkiaPictures : Pictures {
    override fun load(path: String): ImageBitmap? =
        try {
            read(File(path).readBytes())
        } catch (_: IOException) {
            null
        }

    override fun read(bytes: ByteArray): ImageBitmap? =
        try {
            Image.makeFromEncoded(bytes).toComposeImageBitmap()
        } catch (_: IllegalArgumentException) {
            null
        }
}

/** A computer has no camera in its hand: a photo is picked from its files. */
class FileCamera : Camera {
    override fun take(taken: (Photo?) -> Unit) {
        val dialog = FileDialog(null as Frame?, "Photo", FileDialog.LOAD)
        dialog.isVisible = true
        taken(dialog.files.firstOrNull()?.let { Photo.File(it.path) })
    }
}

/** A computer hands a file on by saving it where the person says. */
class FileSharing : Sharing {
    override fun offer(document: Document) {
        val dialog = FileDialog(null as Frame?, document.name, FileDialog.SAVE)
        dialog.file = document.name
        dialog.isVisible = true
        val chosen = dialog.files.firstOrNull()
        val made = document.file?.let(::File)
        try {
            if (chosen != null) made?.copyTo(chosen, overwrite = true) ?: chosen.writeBytes(document.bytes)
            made?.delete()
        } catch (e: IOException) {
            throw CoreProblem("${chosen?.path}: ${e.message}", e)
        }
    }
}

/** What is longer stays in its file, in bytes. */
private const val LARGE = 16L * 1024 * 1024

/** A computer takes a file from its disk. */
class FileIntake : Intake {
    override fun take(taken: (Result<Document?>) -> Unit) {
        val dialog = FileDialog(null as Frame?, "", FileDialog.LOAD)
        dialog.isVisible = true
        val file = dialog.files.firstOrNull() ?: return taken(Result.success(null))
        val document =
            try {
                val large = file.length() > LARGE
                Document(
                    file.name,
                    "application/octet-stream",
                    if (large) ByteArray(0) else file.readBytes(),
                    file.path.takeIf { large },
                )
            } catch (e: IOException) {
                return taken(Result.failure(CoreProblem("${file.path}: ${e.message}", e)))
            }
        taken(Result.success(document))
    }
}

/** Remembers what was offered. */
class KeptSharing : Sharing {
    val offered = mutableListOf<Document>()

    override fun offer(document: Document) {
        offered += document
    }
}

/** Settings in a file beside the store. */
class FileSettings(private val file: File) : Settings {
    private val values = Properties().apply { if (file.isFile) file.reader().use { load(it) } }

    override var light: Light
        get() = Light.entries.firstOrNull { it.name == values.getProperty("light") } ?: Light.Day
        set(value) {
            values.setProperty("light", value.name)
            file.parentFile?.mkdirs()
            file.writer().use { values.store(it, null) }
        }
}

/** Settings that last as long as the process. */
class MemorySettings(override var light: Light = Light.Day) : Settings

/** The computer's own beep. */
object Beep : Alarm {
    override fun ring() = Toolkit.getDefaultToolkit().beep()
}

/** No camera, no sound: for pictures and tests. */
fun quietPlatform(light: Light = Light.Day, photo: Photo? = null, sharing: Sharing = KeptSharing()) =
    Platform(
        SkiaPictures,
        object : Camera {
            override fun take(taken: (Photo?) -> Unit) = taken(photo)
        },
        MemorySettings(light),
        object : Alarm {
            override fun ring() = Unit
        },
        sharing,
    )
