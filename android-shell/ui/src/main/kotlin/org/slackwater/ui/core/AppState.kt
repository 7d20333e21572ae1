package org.slackwater.ui.core

import androidx.compose.runtime.Stable
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateMapOf
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import androidx.compose.ui.graphics.ImageBitmap
import kotlin.time.Duration
import kotlin.time.Duration.Companion.milliseconds
import kotlin.time.TimeSource
import kotlinx.coroutines.CoroutineDispatcher
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Job
import kotlinx.coroutines.channels.Channel
import kotlinx.coroutines.delay
import kotlinx.coroutines.launch
import kotlinx.coroutines.withContext
import org.slackwater.core.Action
import org.slackwater.core.Document
import org.slackwater.core.FieldFault
import org.slackwater.core.FieldValue
import org.slackwater.core.Form
import org.slackwater.core.Page
import org.slackwater.core.PhotoTile
import org.slackwater.core.Reply
import org.slackwater.core.ShellWords
import org.slackwater.core.Undo
import org.slackwater.ui.design.Light

/** What the bar says, and what it takes back. */
data class Bar(val says: String?, val undo: Undo?)

/** A photo that was taken and waits for its note. */
class PendingPhoto(val subject: String, val photo: Photo)

/**
 * What the app shows. Asks the core off the UI thread, one call after the other; everything else here belongs to the UI
 * thread, which is [scope]'s.
 *
 * @param core asked by [io] only, which must run one call at a time.
 * @param refreshEvery how often the screen is asked for again while nothing changes, in milliseconds ("8 min ago" grows
 *   old); null for never.
 * @param settle for so long after another screen or step has come up, a tap is taken for the second half of the last
 *   one and does nothing: drops tap twice.
 */
@Stable
class AppState(
    private val core: Core,
    val platform: Platform,
    private val scope: CoroutineScope,
    private val io: CoroutineDispatcher,
    private val refreshEvery: Long? = 15_000,
    private val settle: Duration = 350.milliseconds,
    private var start: String = "",
) {
    private val drafts = mutableStateMapOf<String, String>()

    /** The shell's own words: others, once another language was chosen. */
    var words: ShellWords by mutableStateOf(core.words())
        private set

    /** What stands there; null before the first answer, and where it can't be had. */
    var page: Page? by mutableStateOf(null)
        private set

    /** Which page stands there; the last one that did where none does. */
    val at: String
        get() = page?.at ?: lastAt

    private var lastAt = ""
    private var lastKept = start

    /** Why the present page can't be shown, or the last action not be done. */
    var problem: String? by mutableStateOf(null)
        private set

    var bar: Bar? by mutableStateOf(null)
        private set

    /** What was wrong with the last form sent from here, and which form it was. */
    private var faults: List<FieldFault> by mutableStateOf(emptyList())
    private var faultyForm: String? by mutableStateOf(null)

    /** A call is under way; a second tap of the same drop does nothing. */
    var busy: Boolean by mutableStateOf(false)
        private set

    /** How much of the file that is coming in is done, in words; null while none comes in. */
    var bringing: String? by mutableStateOf(null)
        private set

    var pendingPhoto: PendingPhoto? by mutableStateOf(null)
        private set

    private var lightNow by mutableStateOf(platform.settings.light)

    /** The light the screen is read in; kept on this device. */
    var light: Light
        get() = lightNow
        set(value) {
            lightNow = value
            platform.settings.light = value
        }

    val canGoBack: Boolean
        get() = page?.back == true || unshown || pendingPhoto != null

    /** One waiting wish to show is enough, however many changes there were. */
    private val wishes = Channel<Unit>(Channel.CONFLATED)

    /** Something may have been recorded since the phone was last told what is due. */
    private var changed = true

    /** Begins to show. Cancelling what this returns ends it. */
    fun begin(): Job = scope.launch {
        val from = start
        ask { core.restore(from) }.onFailure { problem = it.message }
        if (refreshEvery != null)
            launch {
                while (true) {
                    delay(refreshEvery)
                    wishes.trySend(Unit)
                }
            }
        wishes.trySend(Unit)
        for (wish in wishes) showNow()
    }

    /** Which page, and which step of it, stands there, and since when. */
    private var shownIdentity: Pair<String, String>? = null

    /** The present page could not be shown. */
    private var unshown: Boolean by mutableStateOf(false)
    private var cameUp = TimeSource.Monotonic.markNow() - settle

    private suspend fun showNow() {
        val answer = ask {
            platform.barometer.now()?.let { core.offer(it) }
            platform.condition.now()?.let { core.offer(it) }
            core.page() to core.words()
        }
        if (changed) {
            // Before the question: what is recorded meanwhile is asked for anew.
            changed = false
            ask { platform.caller.set(core.due()) }.onFailure { problem = it.message }
        }
        answer.onSuccess { (next, said) ->
            val identity = next.at to next.step
            if (identity != shownIdentity) cameUp = TimeSource.Monotonic.markNow()
            shownIdentity = identity
            // The complaint about an action stands until the next one; that of a page goes with it.
            if (next.at != lastAt) faults = emptyList()
            if (next.at != lastAt || unshown) problem = null
            unshown = false
            lastAt = next.at
            lastKept = next.kept
            words = said
            page = next
        }
        answer.onFailure {
            page = null
            unshown = true
            problem = it.message
        }
    }

    /** Runs [call] off the UI thread; only what the core has words for becomes a result. */
    private suspend fun <T> ask(call: () -> T): Result<T> =
        withContext(io) {
            try {
                Result.success(call())
            } catch (e: CoreProblem) {
                Result.failure(e)
            }
        }

    /** Sends what was tapped. */
    fun act(action: Action) =
        work({ at -> core.act(at, action) }) { _, reply ->
            faultyForm = null
            // What is wrong with an action that sent no form has no field to stand at.
            if (reply.faults.isNotEmpty()) complaint = reply.faults.joinToString(" ") { it.text }
        }

    /** Sends a form with what stands in it now. */
    fun submit(form: Form) {
        val values = values(form)
        work({ at -> core.submit(at, form.key, values) }) { at, reply ->
            faultyForm = form.key
            if (reply.faults.isEmpty()) forget(at, form)
        }
    }

    /** Takes back what the bar names. */
    fun undo() {
        val token = bar?.undo?.token ?: return
        work({ core.undo(token) })
    }

    private fun work(call: (String) -> Reply, done: (String, Reply) -> Unit = { _, _ -> }) {
        if (busy || cameUp.elapsedNow() < settle) return
        busy = true
        scope.launch { carryOut(call, done) }
    }

    private suspend fun carryOut(call: (String) -> Reply, done: (String, Reply) -> Unit) {
        val from = at
        var asks: String? = null
        try {
            ask { call(from) }
                .onSuccess { reply ->
                    done(from, reply)
                    take(reply)
                    asks = reply.bring
                }
                .onFailure { problem = it.message }
        } finally {
            busy = false
            // Also after a failure: what stands there is asked for anew.
            changed = true
            wishes.trySend(Unit)
        }
        asks?.let { bring(from, it) }
    }

    private var complaint: String? = null

    /** What is wrong with a file has no field to stand at. */
    private fun complainOf(reply: Reply) {
        faultyForm = null
        if (reply.faults.isNotEmpty()) complaint = reply.faults.joinToString(" ") { it.text }
    }

    // Files: chosen where the core asked for one, or handed in by another app.

    /**
     * What the file now being chosen is for, and the page that asked; kept, since the process may end meanwhile, and
     * then the page is the one that comes up.
     */
    private var wanted: Pair<String?, String>? = null

    private fun bring(from: String, what: String) {
        wanted = from to what
        try {
            platform.intake.take(::documentTaken)
        } catch (e: CoreProblem) {
            wanted = null
            problem = e.message
        }
    }

    /** A file was chosen, or none, or one that can't be read. It goes to the page that asked. */
    fun documentTaken(taken: Result<Document?>) {
        val (from, what) = wanted ?: return
        wanted = null
        taken
            .onFailure { unreadable() }
            .onSuccess { document ->
                if (document != null && (from == null || from == at)) takeIn { read(document) { core.bring(what, it) } }
            }
    }

    /** Another app handed a file in, or one that can't be read. */
    fun receive(handed: Result<Document>) {
        val document = handed.getOrElse {
            return unreadable()
        }
        takeIn { read(document) { core.receive(it) } }
    }

    /** Takes a file in, and says meanwhile how far it has come. */
    private fun takeIn(call: (String) -> Reply) {
        scope.launch {
            while (busy) delay(WAIT_MS)
            busy = true
            val watching = launch {
                while (true) {
                    delay(WATCH_MS)
                    bringing = core.bringing()
                }
            }
            try {
                carryOut(call) { _, reply -> complainOf(reply) }
            } finally {
                watching.cancel()
                bringing = null
            }
        }
    }

    /** Gives up the file that is coming in; what was done of it is taken back. */
    fun giveUp() = core.giveUp()

    private fun unreadable() {
        problem = words.fileUnreadable
    }

    private fun read(document: Document, call: (Document) -> Reply): Reply =
        try {
            call(document)
        } finally {
            platform.intake.release(document)
        }

    private fun take(reply: Reply) {
        problem = complaint
        complaint = null
        faults = reply.faults
        reply.document?.let { document ->
            try {
                platform.sharing.offer(document)
            } catch (e: CoreProblem) {
                problem = e.message
            }
        }
        if (!reply.barStays) bar = if (reply.said == null && reply.undo == null) null else Bar(reply.said, reply.undo)
    }

    private fun move(how: () -> Unit) {
        scope.launch {
            problem = null
            ask(how).onFailure { problem = it.message }
            wishes.trySend(Unit)
        }
    }

    /** Goes to a page that needs no action, such as that of a photo. */
    fun go(to: String) = move { core.go(to) }

    /** Goes back one page. Does nothing at the first. */
    fun back() {
        if (pendingPhoto != null) dropPhoto() else move { core.back() }
    }

    /** Asks for the page again, and what is due: something may have changed. */
    fun again() {
        problem = null
        changed = true
        wishes.trySend(Unit)
    }

    // What was typed and not yet sent.

    private fun draftKey(at: String, form: Form, field: String) = "$at|${form.key}|$field"

    /** What stands in a field: what was typed, or else what the record gave. */
    fun value(form: Form, key: String, given: String): String = drafts[draftKey(at, form, key)] ?: given

    fun type(form: Form, key: String, value: String) {
        drafts[draftKey(at, form, key)] = value
    }

    /** What is wrong with a field; with the form as a whole, or with a field it doesn't have, for an empty [field]. */
    fun faultOf(form: Form, field: String): String? {
        if (form.key != faultyForm) return null
        val known = form.fields.map { it.key }
        val mine = faults.filter { if (field.isEmpty()) it.field !in known else it.field == field }
        return mine.joinToString(" ") { it.text }.ifEmpty { null }
    }

    /** All values of a form, typed or given. */
    fun values(form: Form): List<FieldValue> = form.fields.map { FieldValue(it.key, value(form, it.key, it.value)) }

    private fun forget(at: String, form: Form) {
        val start = draftKey(at, form, "")
        drafts.keys.filter { it.startsWith(start) }.forEach { drafts.remove(it) }
    }

    // Photos: taken first, then noted, then kept.

    /** What the photo now being taken belongs to; kept, since the process may end while the camera has the screen. */
    private var awaited: String? = null

    fun takePhoto(subject: String) {
        awaited = subject
        try {
            platform.camera.take(::photoTaken)
        } catch (_: CoreProblem) {
            awaited = null
            problem = words.noCamera
        }
    }

    fun pickPhoto(subject: String) {
        awaited = subject
        platform.camera.pick(::photoPicked)
    }

    /** A photo was chosen, or none, or one that can't be read. */
    fun photoPicked(picked: Result<Photo?>) {
        photoTaken(picked.getOrElse { null.also { unreadable() } })
    }

    /** The camera has returned with [photo], or with none. */
    fun photoTaken(photo: Photo?) {
        val subject = awaited
        awaited = null
        if (photo == null || subject == null) return
        pendingPhoto = PendingPhoto(subject, photo)
        photoNote = ""
    }

    /** What was typed about the photo that waits for its note. */
    var photoNote: String by mutableStateOf("")

    fun keepPhoto(note: String = photoNote) {
        val pending = pendingPhoto ?: return
        // It is let go only once the core has it.
        work({ core.addPhoto(pending.subject, note, pending.photo) }) { _, _ -> letGo() }
    }

    fun dropPhoto() {
        problem = null
        letGo()
    }

    private fun letGo() {
        pendingPhoto?.let { platform.camera.release(it.photo) }
        pendingPhoto = null
        photoNote = ""
    }

    /** The small picture of a photo, or null if it can't be had. */
    suspend fun picture(tile: PhotoTile): ImageBitmap? {
        val path = if (tile.broken) null else tile.thumbnail ?: ask { core.thumbnail(tile.hash) }.getOrNull()
        return path?.let { withContext(io) { platform.pictures.load(it) } }
    }

    /** A photo as large as the screen, or null if it can't be had. */
    suspend fun largePicture(hash: String): ImageBitmap? {
        val bytes = ask { core.large(hash) }.getOrNull() ?: return null
        return withContext(io) { platform.pictures.read(bytes) }
    }

    // Keeping: where the app is and what was typed outlive the process.

    fun kept(): Kept {
        val file = pendingPhoto?.photo as? Photo.File
        val photo = file?.let { KeptPhoto(pendingPhoto?.subject.orEmpty(), it.path, photoNote) }
        return Kept(lastKept, drafts.toMap(), awaited, wanted?.second, photo)
    }

    /** Goes on where [kept] was kept; before [begin]. */
    fun restore(kept: Kept) {
        start = kept.places
        lastKept = kept.places
        drafts.putAll(kept.drafts)
        awaited = kept.awaited
        wanted = kept.wanted?.let { null to it }
        val photo = kept.photo ?: return
        // The phone may have emptied its cache meanwhile.
        val file = Photo.File(photo.path)
        if (!platform.camera.has(file)) return
        pendingPhoto = PendingPhoto(photo.subject, file)
        photoNote = photo.note
    }

    private companion object {
        /** Between two looks whether another call has ended, in ms. */
        const val WAIT_MS = 30L

        /** So often it is asked how far a file has come in. */
        const val WATCH_MS = 300L
    }
}

/**
 * What the phone keeps of the app while it is not running.
 *
 * @param places where the app was, in the core's words.
 * @param awaited what the photo now being taken belongs to.
 * @param wanted what the file now being chosen is for.
 */
data class Kept(
    val places: String,
    val drafts: Map<String, String>,
    val awaited: String? = null,
    val wanted: String? = null,
    val photo: KeptPhoto? = null,
)

/** A photo that waits for its note, and as much of that as was typed. */
data class KeptPhoto(val subject: String, val path: String, val note: String)
