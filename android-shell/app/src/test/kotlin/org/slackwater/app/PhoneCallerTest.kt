package org.slackwater.app

import android.Manifest
import android.app.AlarmManager
import android.app.Notification
import android.app.NotificationManager
import android.app.PendingIntent
import android.content.Intent
import android.net.Uri
import android.os.BatteryManager
import android.os.Build
import android.os.Looper
import androidx.lifecycle.Lifecycle
import java.time.Duration
import org.json.JSONObject
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.Shadows.shadowOf
import org.robolectric.shadows.ShadowAlarmManager
import org.robolectric.shadows.ShadowStatFs
import org.slackwater.core.Calls
import org.slackwater.desktop.At
import org.slackwater.desktop.RealAppTest

/** What the phone does for a hold while nobody looks, and what it says of itself. */
class PhoneCallerTest : RealAppTest() {
    private val alarms
        get() = phone.getSystemService(AlarmManager::class.java)

    private val notes
        get() = phone.getSystemService(NotificationManager::class.java)

    private val set
        get() = shadowOf(alarms).scheduledAlarms.toList()

    private val shown: List<Notification>
        get() = shadowOf(notes).allNotifications

    private val pool by lazy { core.rigNamed("Pool") }

    @After fun allowed() = ShadowAlarmManager.setCanScheduleExactAlarms(true)

    private fun inHand() {
        scenario?.moveToState(Lifecycle.State.RESUMED)
        rule.waitForIdle()
    }

    private fun layAside() {
        scenario?.moveToState(Lifecycle.State.CREATED)
        rule.waitForIdle()
    }

    /** Time goes by until the alarm that is next goes off. */
    private fun untilTheAlarm() {
        val next = requireNotNull(shadowOf(alarms).peekNextScheduledAlarm()) { "no alarm is set" }
        shadowOf(Looper.getMainLooper()).idleFor(Duration.ofMillis(1))
        shadowOf(alarms).fireAlarm(next)
        shadowOf(Looper.getMainLooper()).idle()
    }

    @Test
    fun aRunningHoldHasOneExactAlarmThatMovesWithItsReadings() {
        ShadowAlarmManager.setCanScheduleExactAlarms(true)
        start()
        assertTrue(set.isEmpty())
        val hold = WatchedHold(core, pool) { app.again() }
        rule.waitForIdle()
        val first = set.single()
        assertEquals(AlarmManager.RTC_WAKEUP, first.getType())
        assertTrue("also while the phone dozes", first.isAllowWhileIdle)
        assertEquals("exact", ShadowAlarmManager.WINDOW_EXACT, first.windowLengthMs)
        assertEquals(30_000.0, (first.triggerAtMs - System.currentTimeMillis()).toDouble(), 2_000.0)
        assertEquals(Calls.ON_TIME, phone.caller.standing())
        repeat(3) { hold.read("203.4") }
        rule.waitForIdle()
        val later = set.single()
        assertTrue(later.triggerAtMs > first.triggerAtMs)
        hold.giveUp()
        rule.waitForIdle()
        assertTrue("a hold that has ended calls nobody", set.isEmpty())
    }

    @Test
    fun laidAsideItCallsAndTheCallLeadsToTheHold() {
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        rule.waitForIdle()
        layAside()
        untilTheAlarm()
        val note = shown.single()
        val title = note.extras.getString(Notification.EXTRA_TITLE).orEmpty()
        assertTrue(title, title.startsWith("Read the gauge of ") && "Monitor" in title)
        assertTrue(note.extras.getString(Notification.EXTRA_TEXT).orEmpty().contains("Pool rig"))
        val channel = notes.getNotificationChannel(note.channelId)
        assertEquals("Readings that are due", channel.name)
        assertEquals(NotificationManager.IMPORTANCE_HIGH, channel.importance)
        assertEquals(android.media.AudioAttributes.USAGE_ALARM, channel.audioAttributes.usage)

        assertPlace(At.rigs())
        inHand()
        val intent = shadowOf(note.contentIntent).savedIntent
        assertEquals(MainActivity::class.java.name, intent.component?.className)
        scenario!!.hears(intent)
        rule.waitForIdle()
        assertPlace(hold.place)
        hold.read("203.4")
        rule.waitForIdle()
        assertTrue("the reading was taken: the call for it goes", shown.isEmpty())
        assertEquals("and the next is set", 1, set.size)
    }

    @Test
    fun aCallOpensTheAppWhereItWasEnded() {
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        rule.waitForIdle()
        layAside()
        untilTheAlarm()
        val intent = shadowOf(shown.single().contentIntent).savedIntent
        scenario!!.close()
        scenario = androidx.test.core.app.ActivityScenario.launch(intent)
        rule.waitForIdle()
        assertPlace(hold.place)
    }

    @Test
    fun aHoldThatIsLookedAtIsNotCalledForASecondTime() {
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        open(At.rigs(), hold.place)
        untilTheAlarm()
        assertTrue("the screen itself rings", shown.isEmpty())
        layAside()
        hold.read("203.4")
        rule.waitForIdle()
        untilTheAlarm()
        assertEquals("with the screen off the notification does", 1, shown.size)
    }

    @Test
    fun wherePhonesPutAlarmsOffTheScreenSaysSo() {
        if (Build.VERSION.SDK_INT < 31) return
        ShadowAlarmManager.setCanScheduleExactAlarms(false)
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        rule.waitForIdle()
        assertTrue("one is set all the same", set.single().isAllowWhileIdle)
        assertTrue("that may come late", set.single().windowLengthMs != ShadowAlarmManager.WINDOW_EXACT)
        assertEquals(Calls.MAY_BE_LATE, phone.caller.standing())
        open(At.rigs(), hold.place)
        seeText("some minutes late", substring = true)
    }

    @Test
    fun aRefusalIsSaidAndAskedForOnce() {
        if (Build.VERSION.SDK_INT < 33) return
        shadowOf(phone).denyPermissions(Manifest.permission.POST_NOTIFICATIONS)
        shadowOf(notes).setNotificationsEnabled(false)
        start()
        assertNull("nothing is asked before it is needed", askedFor())
        val hold = WatchedHold(core, pool) { app.again() }
        rule.waitForIdle()
        assertEquals(Manifest.permission.POST_NOTIFICATIONS, askedFor())
        open(At.rigs(), hold.place)
        seeText("no notifications of Slackwater", substring = true)
        hold.read("203.4")
        rule.waitForIdle()
        assertEquals("once", 1, timesAsked())
    }

    private fun asked(): List<String> {
        var asked = emptyList<String>()
        scenario!!.onActivity { activity ->
            asked =
                listOfNotNull(shadowOf(activity).lastRequestedPermission).flatMap { it.requestedPermissions.toList() }
        }
        return asked
    }

    private fun askedFor() = asked().firstOrNull()

    private fun timesAsked() = asked().size

    @Test
    fun afterThePhoneWasOffAlarmsAreSetAnewAndWhatWasMissedIsCalledFor() {
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        rule.waitForIdle()
        layAside()
        // A phone that was off has lost its alarms; nothing else of the app is running.
        fun off() {
            val intent = Intent(phone, ReadingDue::class.java).setData(Uri.fromParts("hold", hold.hold, null))
            alarms.cancel(PendingIntent.getBroadcast(phone, 0, intent, PendingIntent.FLAG_IMMUTABLE))
        }
        off()
        assertTrue(set.isEmpty())
        AfterStart().onReceive(phone, Intent("something.else"))
        assertTrue("it heeds nothing else", set.isEmpty())
        AfterStart().onReceive(phone, Intent(Intent.ACTION_BOOT_COMPLETED))
        assertEquals(1, set.size)
        assertTrue(shown.isEmpty())
        off()
        val kept = phone.getSharedPreferences("calls", 0)
        val call = JSONObject(kept.getString(hold.hold, null).orEmpty())
        kept.edit().putString(hold.hold, call.put("at", System.currentTimeMillis() - 3_600_000).toString()).commit()
        AfterStart().onReceive(phone, Intent(Intent.ACTION_BOOT_COMPLETED))
        assertEquals("an hour late, and said at once", 1, shown.size)
        val heard = phone.packageManager.queryBroadcastReceivers(Intent(Intent.ACTION_BOOT_COMPLETED), 0)
        assertEquals(listOf(AfterStart::class.java.name), heard.map { it.activityInfo.name })
    }

    @Test
    fun whatWasKeptOfACallAndCantBeReadCallsNobody() {
        val kept = phone.getSharedPreferences("calls", 0)
        kept.edit().putString("h1", "{").putString("h2", "{\"at\":1}").commit()
        phone.caller.again()
        phone.caller.ring("h3", null)
        assertTrue(shown.isEmpty())
        assertTrue(kept.all.isEmpty())
    }

    @Test
    fun aFullStorageAndALowBatteryAreSaid() {
        val battery = shadowOf(phone.getSystemService(BatteryManager::class.java))
        battery.setIntProperty(BatteryManager.BATTERY_PROPERTY_CAPACITY, 12)
        battery.setIsCharging(false)
        ShadowStatFs.registerStats(phone.filesDir.path, 1_000_000, 30_000, 30_000)
        start()
        open(At.rig(pool))
        seeText("nearly full: 122\u00A0MB", substring = true)
        assertFalse(texts().any { "battery is at" in it })
        val hold = WatchedHold(core, pool) { app.again() }
        open(At.rigs(), hold.place)
        seeText("battery is at 12\u00A0%", substring = true)
        battery.setIsCharging(true)
        ShadowStatFs.registerStats(phone.filesDir.path, 1_000_000, 900_000, 900_000)
        app.again()
        rule.waitForIdle()
        assertTrue(texts().none { "battery is at" in it || "nearly full" in it })
    }

    @Test
    fun aFigureThatThePhoneDoesNotGiveIsNone() {
        val battery = shadowOf(phone.getSystemService(BatteryManager::class.java))
        battery.setIntProperty(BatteryManager.BATTERY_PROPERTY_CAPACITY, Int.MIN_VALUE)
        assertNull("a disk of no size", PhoneCondition(phone, phone.caller).now().freeBytes)
        ShadowStatFs.registerStats(phone.filesDir.path, 1_000_000, 30_000, 30_000)
        val says = PhoneCondition(phone, phone.caller).now()
        assertNull(says.batteryPercent)
        assertNotNull(says.freeBytes)
    }
}
