package org.slackwater.bridge

import org.slackwater.core.Action
import org.slackwater.core.AirReading
import org.slackwater.core.Document
import org.slackwater.core.DueReading
import org.slackwater.core.FieldValue
import org.slackwater.core.Page
import org.slackwater.core.PhoneState
import org.slackwater.core.Reply
import org.slackwater.core.ShellWords
import org.slackwater.ffi.InternalException
import org.slackwater.ffi.OpenOptions
import org.slackwater.ffi.Slackwater
import org.slackwater.ffi.SlackwaterException
import org.slackwater.ui.core.AirPressure
import org.slackwater.ui.core.Core
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.HeldSecret
import org.slackwater.ui.core.Photo

/**
 * Where the store is and how the phone's clock stands.
 *
 * @param demo fills an empty store with the demo crew and rig.
 * @param fixedTimeMs for tests and pictures: the clock stands still here.
 * @param secret what the key store gave; null where there is none to ask.
 * @param language what the phone is set to, as a tag (BCP 47): the core decides what it speaks; null for English.
 */
data class Where(
    val folder: String,
    val utcOffsetMinutes: Int,
    val demo: Boolean = false,
    val fixedTimeMs: Long? = null,
    val secret: HeldSecret? = null,
    val language: String? = null,
)

/** The core itself. The only place that touches the generated objects and their errors. */
class RealCore private constructor(private val slackwater: Slackwater) : Core {
    private val screens = slackwater.screens()
    private val photos = slackwater.photos()

    override fun page(): Page = said { screens.page() }

    override fun act(at: String, action: Action): Reply = said { screens.act(at, action) }

    override fun submit(at: String, form: String, values: List<FieldValue>): Reply = said {
        screens.submit(at, form, values)
    }

    override fun back() = said { screens.back() }

    override fun go(at: String) = said { screens.go(at) }

    override fun restore(kept: String) = said { screens.restore(kept) }

    override fun undo(token: String): Reply = said { screens.undo(token) }

    override fun offer(air: AirPressure) = said {
        screens.offerAirPressure(AirReading(air.pascals, air.errorPascals, air.stepPascals, air.everySeconds))
    }

    override fun offer(phone: PhoneState) = said { screens.offerPhone(phone) }

    override fun due(): List<DueReading> = said { screens.dueReadings() }

    override fun bring(wanted: String, document: Document): Reply = said { screens.bring(wanted, document) }

    override fun receive(document: Document): Reply = said { screens.receive(document) }

    override fun bringing(): String? = said { screens.bringing() }

    override fun giveUp() = said { screens.giveUp() }

    override fun addPhoto(subject: String, note: String, photo: Photo): Reply = said {
        when (photo) {
            is Photo.File -> photos.addFile(subject, note, photo.path)
            is Photo.Bytes -> photos.add(subject, note, photo.bytes)
        }
    }

    override fun words(): ShellWords = said { slackwater.words() }

    override fun thumbnail(hash: String): String = said { photos.thumbnail(hash) }

    override fun large(hash: String): ByteArray = said { photos.large(hash) }

    /** The phone's zone is now this many minutes ahead of UTC. */
    fun setUtcOffset(minutes: Int) = said { slackwater.setUtcOffset(minutes) }

    /** The phone is set to this language now, as a tag (BCP 47). */
    fun setLanguage(tag: String) = said { slackwater.setPhoneLanguage(tag) }

    /** Moves a clock that stands still. */
    fun advanceClock(milliseconds: Long) = said { slackwater.advanceClock(milliseconds) }

    override fun close() {
        // Shutting waits for the call under way and lets go of the file; closing drops the references.
        slackwater.shut()
        photos.close()
        screens.close()
        slackwater.close()
    }

    companion object {
        /** Opens the store. Throws [CoreProblem] with the core's own words: which file, what to do. */
        fun open(where: Where): RealCore = said {
            val options =
                OpenOptions(
                    where.folder,
                    where.utcOffsetMinutes,
                    where.demo,
                    where.fixedTimeMs,
                    deviceSeed = where.secret?.bytes,
                    deviceSeedLost = where.secret?.lost,
                    phoneLanguage = where.language,
                )
            RealCore(Slackwater.open(options))
        }
    }
}

/** Turns the core's errors into words for a person, once and here. */
private inline fun <T> said(call: () -> T): T =
    try {
        call()
    } catch (e: SlackwaterException) {
        throw CoreProblem(e)
    } catch (e: InternalException) {
        // A fault of the binding itself: said like any other, since the app must not fall on deck.
        throw CoreProblem(e)
    }
