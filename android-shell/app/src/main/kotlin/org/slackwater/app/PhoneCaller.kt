package org.slackwater.app

import android.Manifest
import android.app.AlarmManager
import android.app.Notification
import android.app.NotificationChannel
import android.app.NotificationManager
import android.app.PendingIntent
import android.content.BroadcastReceiver
import android.content.Context
import android.content.Intent
import android.content.pm.PackageManager
import android.media.AudioAttributes
import android.media.RingtoneManager
import android.net.Uri
import android.os.Build
import android.os.Handler
import android.os.Looper
import org.json.JSONException
import org.json.JSONObject
import org.slackwater.core.Calls
import org.slackwater.core.DueReading
import org.slackwater.ui.core.Caller

private const val CHANNEL = "readings"
private const val NOTE = 1
private const val ASKED = "asked"

/** A call that was asked for: in the core's words, since it comes while the core is closed. */
private class Call(
    val hold: String,
    val atMs: Long,
    val title: String,
    val text: String,
    val kind: String,
    val page: String,
) {
    fun written(): String =
        JSONObject()
            .put("at", atMs)
            .put("title", title)
            .put("text", text)
            .put("kind", kind)
            .put("page", page)
            .toString()

    companion object {
        /** What [written] wrote; null for anything else. */
        fun read(hold: String, written: String): Call? =
            try {
                val json = JSONObject(written)
                Call(
                    hold,
                    json.getLong("at"),
                    json.getString("title"),
                    json.getString("text"),
                    json.getString("kind"),
                    json.getString("page"),
                )
            } catch (_: JSONException) {
                null
            }
    }
}

/**
 * One alarm of Android's a hold, then a notification that leads to it. Exact where the phone allows that; where not, it
 * may come some minutes late. Alarms end with the phone's power: [again] sets them anew.
 */
class PhoneCaller(private val context: Context) : Caller {
    private val alarms = context.getSystemService(AlarmManager::class.java)
    private val notes = context.getSystemService(NotificationManager::class.java)
    private val kept = context.getSharedPreferences("calls", Context.MODE_PRIVATE)
    private val asking = context.getSharedPreferences("asking", Context.MODE_PRIVATE)

    /** Set while an activity can ask for leave to notify. */
    var ask: (() -> Unit)? = null

    override fun set(due: List<DueReading>) {
        (kept.all.keys - due.map { it.hold }.toSet()).forEach { drop(it) }
        for (reading in due) {
            // One that is overdue has been called for, or its alarm is on its way.
            if (reading.waitMs <= 0) continue
            notes.cancel(reading.hold, NOTE)
            val at = System.currentTimeMillis() + reading.waitMs
            set(Call(reading.hold, at, reading.title, reading.text, reading.kind, reading.at))
        }
        if (due.isNotEmpty()) askOnce()
    }

    override fun standing(): Calls =
        when {
            !notes.areNotificationsEnabled() -> Calls.SILENT
            notes.getNotificationChannel(CHANNEL)?.importance == NotificationManager.IMPORTANCE_NONE -> Calls.SILENT
            exact() -> Calls.ON_TIME
            else -> Calls.MAY_BE_LATE
        }

    /** Sets every alarm that is still to come, and calls for what was missed while the phone was off. */
    fun again() =
        kept.all.forEach { (hold, written) ->
            val call = Call.read(hold, written.toString())
            when {
                call == null -> drop(hold)
                call.atMs <= System.currentTimeMillis() -> notify(call)
                else -> set(call)
            }
        }

    /** The alarm of a hold went off. Says nothing where the hold is in front of the person, or has ended meanwhile. */
    fun ring(hold: String, inFront: String?) {
        val call = kept.getString(hold, null)?.let { Call.read(hold, it) } ?: return
        if (call.page != inFront) notify(call)
    }

    private fun exact() = Build.VERSION.SDK_INT < Build.VERSION_CODES.S || alarms.canScheduleExactAlarms()

    private fun set(call: Call) {
        kept.edit().putString(call.hold, call.written()).apply()
        val alarm = alarm(call.hold)
        try {
            if (exact()) return alarms.setExactAndAllowWhileIdle(AlarmManager.RTC_WAKEUP, call.atMs, alarm)
        } catch (_: SecurityException) {
            // Taken away between the question and the setting.
        }
        alarms.setAndAllowWhileIdle(AlarmManager.RTC_WAKEUP, call.atMs, alarm)
    }

    private fun drop(hold: String) {
        alarms.cancel(alarm(hold))
        notes.cancel(hold, NOTE)
        kept.edit().remove(hold).apply()
    }

    private fun alarm(hold: String): PendingIntent {
        val intent = Intent(context, ReadingDue::class.java).setData(Uri.fromParts("hold", hold, null))
        return PendingIntent.getBroadcast(
            context,
            0,
            intent,
            PendingIntent.FLAG_UPDATE_CURRENT or PendingIntent.FLAG_IMMUTABLE,
        )
    }

    private fun notify(call: Call) {
        notes.createNotificationChannel(channel(call.kind))
        val there =
            Intent(context, MainActivity::class.java)
                .setData(Uri.fromParts("hold", call.hold, null))
                .putExtra(MainActivity.PLACE, call.page)
                .addFlags(Intent.FLAG_ACTIVITY_NEW_TASK)
        val open =
            PendingIntent.getActivity(
                context,
                0,
                there,
                PendingIntent.FLAG_UPDATE_CURRENT or PendingIntent.FLAG_IMMUTABLE,
            )
        val note =
            Notification.Builder(context, CHANNEL)
                .setSmallIcon(R.drawable.call)
                .setContentTitle(call.title)
                .setContentText(call.text)
                .setCategory(Notification.CATEGORY_ALARM)
                .setVisibility(Notification.VISIBILITY_PUBLIC)
                .setWhen(call.atMs)
                .setShowWhen(true)
                .setAutoCancel(true)
                .setContentIntent(open)
        notes.notify(call.hold, NOTE, note.build())
    }

    /** Heard over an engine: it sounds as an alarm does. */
    private fun channel(kind: String) =
        NotificationChannel(CHANNEL, kind, NotificationManager.IMPORTANCE_HIGH).apply {
            enableVibration(true)
            val alarm = AudioAttributes.Builder().setUsage(AudioAttributes.USAGE_ALARM).build()
            setSound(RingtoneManager.getDefaultUri(RingtoneManager.TYPE_ALARM), alarm)
        }

    /** Asks for leave to notify, where Android wants that, when it is first needed and never again. */
    private fun askOnce() {
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.TIRAMISU || asking.getBoolean(ASKED, false)) return
        if (context.checkSelfPermission(Manifest.permission.POST_NOTIFICATIONS) == PackageManager.PERMISSION_GRANTED)
            return
        Handler(Looper.getMainLooper()).post {
            val ask = ask ?: return@post
            asking.edit().putBoolean(ASKED, true).apply()
            ask()
        }
    }
}

/** The alarm of one hold. */
class ReadingDue : BroadcastReceiver() {
    override fun onReceive(context: Context, intent: Intent) {
        val hold = intent.data?.schemeSpecificPart ?: return
        val app = context.applicationContext as SlackwaterApplication
        app.caller.ring(hold, app.inFront)
    }
}

/** The phone was off, or the app was replaced. */
class AfterStart : BroadcastReceiver() {
    override fun onReceive(context: Context, intent: Intent) {
        if (intent.action in heeded) (context.applicationContext as SlackwaterApplication).caller.again()
    }

    private companion object {
        val heeded =
            setOf(
                Intent.ACTION_BOOT_COMPLETED,
                Intent.ACTION_MY_PACKAGE_REPLACED,
                "android.app.action.SCHEDULE_EXACT_ALARM_PERMISSION_STATE_CHANGED",
            )
    }
}
