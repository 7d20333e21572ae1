package org.slackwater.app

import android.content.Context
import android.graphics.BitmapFactory
import android.media.AudioManager
import android.media.ToneGenerator
import android.os.Build
import android.os.VibrationEffect
import android.os.Vibrator
import android.os.VibratorManager
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.graphics.asImageBitmap
import org.slackwater.ui.core.Alarm
import org.slackwater.ui.core.Camera
import org.slackwater.ui.core.Photo
import org.slackwater.ui.core.Pictures
import org.slackwater.ui.core.Settings
import org.slackwater.ui.design.Light
import java.io.File

/** Reads pictures with the phone's own decoder. */
object PhonePictures : Pictures {
    override fun load(path: String): ImageBitmap? = BitmapFactory.decodeFile(path)?.asImageBitmap()
}

/** Hands over to the phone's camera app, which the activity starts. */
class PhoneCamera : Camera {
    /** Set while an activity can start the camera app. */
    var launch: (() -> Unit)? = null
    private var waiting: ((Photo?) -> Unit)? = null

    override fun take(taken: (Photo?) -> Unit) {
        val go = launch ?: return taken(null)
        waiting = taken
        go()
    }

    /** The camera app has returned. False if nobody waits any more: the process was ended meanwhile. */
    fun finish(photo: Photo?): Boolean {
        val heard = waiting ?: return false
        waiting = null
        heard(photo)
        return true
    }

    override fun release(photo: Photo) {
        if (photo is Photo.File) File(photo.path).delete()
    }
}

/** What this phone remembers for itself. */
class PhoneSettings(context: Context) : Settings {
    private val values = context.getSharedPreferences("settings", Context.MODE_PRIVATE)

    override var light: Light
        get() = Light.entries.firstOrNull { it.name == values.getString("light", null) } ?: Light.Day
        set(value) = values.edit().putString("light", value.name).apply()
}

/** Shakes and beeps: one of the two gets through an engine or a wetsuit pocket. */
class PhoneAlarm(private val context: Context) : Alarm {
    override fun ring() {
        val vibrator = if (Build.VERSION.SDK_INT >= 31) {
            context.getSystemService(VibratorManager::class.java).defaultVibrator
        } else {
            @Suppress("DEPRECATION")
            context.getSystemService(Vibrator::class.java)
        }
        vibrator.vibrate(VibrationEffect.createWaveform(longArrayOf(0, 400, 200, 400), -1))
        val tone = ToneGenerator(AudioManager.STREAM_ALARM, 80)
        tone.startTone(ToneGenerator.TONE_PROP_BEEP2, 600)
    }
}
