package org.slackwater.app

import android.app.Activity
import android.content.Intent
import android.net.Uri
import androidx.core.content.FileProvider
import androidx.core.content.IntentCompat
import androidx.test.core.app.ActivityScenario
import java.io.File
import kotlin.io.path.createTempDirectory
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.Shadows.shadowOf
import org.slackwater.core.Document
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest
import org.slackwater.desktop.button
import org.slackwater.desktop.forms

private const val LOG =
    "# hold-log: 1\n# volume_L: 12\n# gauge: below_ambient\n# gauge_unit: mbar\n" +
        "# gauge_resolution: 0.1\ntime_s,gauge\n0,200\n60,200\n120,200\n"

/** Another hour, another device: what is drawn by chance in these tests hangs on the clock. */
private const val ANOTHER_HOUR_MS = Demo.NOW_MS + 3_600_000

/** Files that other apps hand in, and files that the person chooses in Android's own list. */
class HandedInTest : RealAppTest() {
    private val elsewhere = createTempDirectory("slackwater-elsewhere").toFile()

    @After
    fun removeElsewhere() {
        elsewhere.deleteRecursively()
    }

    /** What another app gives out of [bytes]: as it reaches us, through a provider and under a name. */
    private fun given(name: String, bytes: ByteArray): Uri {
        val file = File(File(phone.cacheDir, "handed-on").apply { mkdirs() }, name)
        file.writeBytes(bytes)
        return FileProvider.getUriForFile(phone, "${phone.packageName}.photos", file)
    }

    /** Everything of another crew's phone, as its own share sheet hands it on. */
    private fun everythingOfAnother(): Uri {
        val document: Document
        Demo.open(elsewhere).use { other ->
            val page = Demo.show(other, At.crew())
            val reply = other.act(page.at, page.button("Keep everything in a file").action)
            document = requireNotNull(reply.document) { "${reply.faults}" }
        }
        PhoneSharing(phone).offer(document)
        val chooser = shadowOf(phone).nextStartedActivity
        val send = requireNotNull(IntentCompat.getParcelableExtra(chooser, Intent.EXTRA_INTENT, Intent::class.java))
        return requireNotNull(IntentCompat.getParcelableExtra(send, Intent.EXTRA_STREAM, Uri::class.java))
    }

    private fun viewing(uri: Uri): Intent =
        Intent(phone, MainActivity::class.java).setAction(Intent.ACTION_VIEW).setDataAndType(uri, "application/zip")

    private fun sending(uri: Uri): Intent =
        Intent(phone, MainActivity::class.java)
            .setAction(Intent.ACTION_SEND)
            .setType("application/zip")
            .putExtra(Intent.EXTRA_STREAM, uri)

    private fun handIn(intent: Intent) {
        scenario!!.hears(intent)
        rule.waitForIdle()
    }

    /** Nothing of a phone that isn't known counts before somebody says whose it is. */
    private fun sayThatItIsOurs() {
        assertTrue(app.at, At.partOf(app.at, "form").startsWith("device/"))
        val form = requireNotNull(app.page).forms.single()
        app.type(form, "ours", "yes")
        app.submit(form)
        rule.waitForIdle()
        assertNull(app.problem)
    }

    private fun leftBehind() = File(phone.cacheDir, "handed-in").list().orEmpty().toList()

    @Test
    fun everythingOfOnePhoneIsTakenByAnotherThatIsRunning() {
        phone.openedAtMs = ANOTHER_HOUR_MS
        start(demo = false)
        handIn(viewing(everythingOfAnother()))
        assertNull(app.problem)
        assertTrue("${app.bar}", app.bar?.says.orEmpty().contains("new of"))
        sayThatItIsOurs()
        open(At.rigs())
        seeText("Reef rig", substring = true)
        seeText("Pool rig", substring = true)
        assertEquals(emptyList<String>(), leftBehind())
    }

    @Test
    fun anAppThatIsNotRunningBeginsWithTheFile() {
        phone.openedAtMs = ANOTHER_HOUR_MS
        scenario = ActivityScenario.launch(sending(everythingOfAnother()))
        rule.waitForIdle()
        sayThatItIsOurs()
        open(At.rigs())
        seeText("Reef rig", substring = true)
        val events = texts()
        scenario!!.recreate()
        rule.waitForIdle()
        assertEquals("turned, it is not taken a second time", events, texts())
    }

    @Test
    fun whatIsNotKnownIsSaidAndTheAppStaysWhereItWas() {
        start()
        open(At.rigs(), At.crew())
        for ((name, bytes, says) in
            listOf(
                Triple("nothing.bin", ByteArray(0), "nothing.bin is empty"),
                Triple("list.txt", "eggs".toByteArray(), "list.txt is nothing that Slackwater knows"),
                Triple("cut.zip", "PK\u0003\u0004".toByteArray(), "Nothing was brought in"),
                Triple("wrong.toml", "format = 1\nid = \"Not so\"\n".toByteArray(), "line"),
                Triple("night.csv", LOG.toByteArray(), "night.csv is a logged hold"),
            )) {
            handIn(viewing(given(name, bytes)))
            assertTrue("$name: ${app.problem}", app.problem.orEmpty().contains(says, ignoreCase = true))
            assertPlace(At.crew())
            seeText(app.problem.orEmpty())
        }
        assertEquals(emptyList<String>(), leftBehind())
    }

    @Test
    fun aFileThatIsNoLongerGivenOutIsSaid() {
        start()
        val revoked = Uri.parse("content://org.example.files/1")
        shadowOf(phone.contentResolver).registerInputStreamSupplier(revoked) { throw SecurityException("revoked") }
        val gone = given("gone.zip", byteArrayOf(1)).also { File(phone.cacheDir, "handed-on/gone.zip").delete() }
        val ours = Uri.fromFile(File(phone.store, "slackwater.db"))
        for (uri in listOf(revoked, gone, ours)) {
            app.again()
            assertNull(app.problem)
            handIn(viewing(uri))
            assertEquals("$uri", app.words.fileUnreadable, app.problem)
        }
        assertEquals(emptyList<String>(), leftBehind())
    }

    @Test
    fun aLoggedHoldIsTakenWhereItsHoldIsSetUp() {
        start()
        open(At.rigs(), At.setup(core.rigNamed("Pool"), "main"))
        handIn(sending(given("night.csv", LOG.toByteArray())))
        assertNull(app.problem)
        assertTrue("${app.at}", At.isA(app.at, "Hold"))
    }

    @Test
    fun whatWeKnowIsOfferedToUsAndNothingElse() {
        start(demo = false)
        val uri = given("a", byteArrayOf(1))
        fun takes(type: String, action: String = Intent.ACTION_VIEW) =
            phone.packageManager
                .queryIntentActivities(
                    if (action == Intent.ACTION_VIEW) Intent(action).setDataAndType(uri, type)
                    else Intent(action).setType(type),
                    0,
                )
                .isNotEmpty()
        for (type in listOf("application/zip", "text/csv", "text/plain")) {
            assertTrue(type, takes(type))
            assertTrue(type, takes(type, Intent.ACTION_SEND))
        }
        assertTrue("no photos", !takes("image/jpeg") && !takes("image/jpeg", Intent.ACTION_SEND))
    }

    /** Answers Android's list of files, which is on the screen now. */
    private fun choose(uri: Uri?) {
        scenario!!.onActivity {
            val asked = requireNotNull(shadowOf(it).nextStartedActivityForResult) { "no list of files was asked for" }
            assertEquals(Intent.ACTION_OPEN_DOCUMENT, asked.intent.action)
            val answer = if (uri == null) Activity.RESULT_CANCELED else Activity.RESULT_OK
            shadowOf(it).receiveResult(asked.intent, answer, uri?.let { Intent().setData(it) })
        }
        rule.waitForIdle()
    }

    @Test
    fun aFileOfEverythingIsChosenInAndroidsOwnList() {
        phone.openedAtMs = ANOTHER_HOUR_MS
        start(demo = false)
        open(At.rigs(), At.crew())
        val file = everythingOfAnother()
        tap("Bring in a file of everything")
        choose(null)
        assertNull(app.problem)
        assertNull(app.bar)
        tap("Bring in a file of everything")
        choose(file)
        assertNull(app.problem)
        open(At.rigs())
        seeText("Reef rig", substring = true)
    }

    @Test
    fun aLargeFileGoesByItsFileAndIsRemovedAfterwards() {
        start()
        open(At.rigs(), At.setup(core.rigNamed("Pool"), "main"))
        tap("Look at a logged hold from a file")
        choose(given("huge.csv", ByteArray(17 * 1024 * 1024)))
        assertTrue("${app.problem}", app.problem.orEmpty().contains("too large"))
        assertEquals(emptyList<String>(), leftBehind())
    }

    @Test
    fun aListThatCantBeReadOrShownIsSaid() {
        start()
        open(At.rigs(), At.crew())
        tap("Bring in a file of everything")
        val revoked = Uri.parse("content://org.example.files/2")
        shadowOf(phone.contentResolver).registerInputStreamSupplier(revoked) { throw SecurityException("revoked") }
        choose(revoked)
        assertEquals(app.words.fileUnreadable, app.problem)
    }
}
