package org.slackwater.app

import android.content.ActivityNotFoundException
import android.content.ClipData
import android.content.Context
import android.content.Intent
import android.graphics.BitmapFactory
import android.media.AudioManager
import android.media.ToneGenerator
import android.os.Build
import android.os.VibrationEffect
import android.os.Vibrator
import android.os.VibratorManager
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.graphics.asImageBitmap
import androidx.core.content.FileProvider
import java.io.File
import java.io.IOException
import org.slackwater.core.Document
import org.slackwater.core.Reached
import org.slackwater.ui.core.Alarm
import org.slackwater.ui.core.Camera
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Photo
import org.slackwater.ui.core.Pictures
import org.slackwater.ui.core.Settings
import org.slackwater.ui.core.Sharing
import org.slackwater.ui.design.Light

/** Reads pictures with the phone's own decoder. */
object PhonePictures : Pictures {
    override fun load(path: String): ImageBitmap? = BitmapFactory.decodeFile(path)?.asImageBitmap()

    override fun read(bytes: ByteArray): ImageBitmap? =
        BitmapFactory.decodeByteArray(bytes, 0, bytes.size)?.asImageBitmap()
}

/** The phone's camera app and its photos, both of which the activity starts. No leave is asked for: neither is ours. */
class PhoneCamera : Camera {
    /** Set while an activity can start the camera app. */
    var launch: (() -> Unit)? = null
    private var waiting: ((Photo?) -> Unit)? = null

    /** Set while an activity can show the phone's photos. */
    var show: (() -> Unit)? = null
    private var choosing: ((Result<Photo?>) -> Unit)? = null

    override fun take(taken: (Photo?) -> Unit) {
        val go = launch ?: return taken(null)
        waiting = taken
        try {
            go()
        } catch (e: ActivityNotFoundException) {
            waiting = null
            throw CoreProblem(e)
        }
    }

    /** The camera app has returned. False if nobody waits any more: the process was ended meanwhile. */
    fun finish(photo: Photo?): Boolean {
        val heard = waiting ?: return false
        waiting = null
        heard(photo)
        return true
    }

    override fun pick(picked: (Result<Photo?>) -> Unit) {
        val go = show ?: return picked(Result.success(null))
        choosing = picked
        try {
            go()
        } catch (e: ActivityNotFoundException) {
            choosing = null
            picked(Result.failure(CoreProblem(e)))
        }
    }

    /** The photos have been put away. False as with [finish]. */
    fun finishPick(photo: Result<Photo?>): Boolean {
        val heard = choosing ?: return false
        choosing = null
        heard(photo)
        return true
    }

    override fun has(photo: Photo): Boolean = photo !is Photo.File || File(photo.path).isFile

    override fun release(photo: Photo) {
        if (photo is Photo.File) File(photo.path).delete()
    }
}

/**
 * The phone's share sheet. What is offered lies in the cache under its own name and is reached through the provider
 * only, never by its path; what was offered before goes, since nobody can tell when the other app has read it.
 */
class PhoneSharing(private val context: Context) : Sharing {
    override fun offer(document: Document) =
        try {
            val folder = File(context.cacheDir, "handed-on")
            folder.listFiles()?.forEach { it.delete() }
            folder.mkdirs()
            val file = File(folder, document.name)
            val made = document.file?.let(::File)
            when {
                made == null -> file.writeBytes(document.bytes)
                made.renameTo(file) -> Unit
                else -> {
                    made.copyTo(file, overwrite = true)
                    made.delete()
                }
            }
            val uri = FileProvider.getUriForFile(context, "${context.packageName}.photos", file)
            val send =
                Intent(Intent.ACTION_SEND)
                    .setType(document.mediaType)
                    .putExtra(Intent.EXTRA_STREAM, uri)
                    .addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
            send.clipData = ClipData.newRawUri(document.name, uri)
            context.startActivity(Intent.createChooser(send, document.name).addFlags(Intent.FLAG_ACTIVITY_NEW_TASK))
        } catch (e: IOException) {
            throw CoreProblem(e)
        } catch (e: ActivityNotFoundException) {
            throw CoreProblem(e)
        }
}

/** What this phone remembers for itself. */
class PhoneSettings(context: Context) : Settings {
    private val values = context.getSharedPreferences("settings", Context.MODE_PRIVATE)

    override var light: Light
        get() = Light.entries.firstOrNull { it.name == values.getString("light", null) } ?: Light.Day
        set(value) = values.edit().putString("light", value.name).apply()
}

// Rest and shake in turn.
private val DUE_MS = longArrayOf(0, 400, 200, 400)
private val HOLDING_MS = longArrayOf(0, 1200)
private val LEAKING_MS = longArrayOf(0, 150, 120, 150, 120, 150, 120, 150, 120, 150)
private const val VOLUME_PERCENT = 80
private const val BEEP_MS = 600

/** Shakes and beeps: one of the two gets through an engine or a wetsuit pocket. */
class PhoneAlarm(private val context: Context) : Alarm {
    override fun ring() = shake(DUE_MS)

    /** One long shake for tight, five short ones for a leak. */
    override fun verdict(reached: Reached) =
        when (reached) {
            Reached.HOLDING -> shake(HOLDING_MS)
            Reached.LEAKING -> shake(LEAKING_MS)
        }

    private fun shake(restsAndShakes: LongArray) {
        val vibrator =
            if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.S) {
                context.getSystemService(VibratorManager::class.java).defaultVibrator
            } else {
                @Suppress("DEPRECATION") context.getSystemService(Vibrator::class.java)
            }
        vibrator.vibrate(VibrationEffect.createWaveform(restsAndShakes, -1))
        val tone = ToneGenerator(AudioManager.STREAM_ALARM, VOLUME_PERCENT)
        tone.startTone(ToneGenerator.TONE_PROP_BEEP2, BEEP_MS)
    }
}
