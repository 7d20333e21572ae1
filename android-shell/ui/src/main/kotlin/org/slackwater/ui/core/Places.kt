package org.slackwater.ui.core

import org.slackwater.core.Place

/** The form or list a place shows alone, if any. */
val Place.form: String?
    get() =
        when (this) {
            is Place.Rigs -> form
            is Place.Rig -> form
            is Place.Prep -> form
            is Place.Hold -> form
            is Place.Seal -> form
            is Place.Trim -> form
            is Place.Crew -> form
            is Place.RingBox -> form
            is Place.Spares -> form
            is Place.RigEdit -> part
            is Place.HoldSetup,
            is Place.Recheck,
            is Place.Seals,
            is Place.Service,
            is Place.Journal,
            is Place.Entry,
            is Place.Photo -> null
        }

/** Writes a place as plain texts, so that the phone can keep it while the app is not running. */
fun Place.written(): List<String?> =
    when (this) {
        is Place.Rigs -> listOf("rigs", form)
        is Place.Rig -> listOf("rig", rig, form)
        is Place.RigEdit -> listOf("edit", rig, part)
        is Place.Prep -> listOf("prep", prep, step, form)
        is Place.HoldSetup -> listOf("setup", rig, enclosure)
        is Place.Hold -> listOf("hold", hold, form)
        is Place.Recheck -> listOf("recheck", rig)
        is Place.Seals -> listOf("seals", rig)
        is Place.Seal -> listOf("seal", rig, seal, form)
        is Place.Service -> listOf("service", rig, seal, stage, prep, step)
        is Place.RingBox -> listOf("box", form)
        is Place.Spares -> listOf("spares", rig, form)
        is Place.Trim -> listOf("trim", rig, form)
        is Place.Journal -> listOf("journal", rig, before)
        is Place.Entry -> listOf("entry", event)
        is Place.Photo -> listOf("photo", photo)
        is Place.Crew -> listOf("crew", form)
    }

/** Reads what [written] wrote; null for anything else, such as what a newer program left. */
fun readPlace(texts: List<String?>): Place? {
    fun at(i: Int): String? = texts.getOrNull(i)
    fun must(i: Int): String = at(i) ?: throw IllegalArgumentException()
    return try {
        when (at(0)) {
            "rigs" -> Place.Rigs(at(1))
            "rig" -> Place.Rig(must(1), at(2))
            "edit" -> Place.RigEdit(must(1), at(2))
            "prep" -> Place.Prep(must(1), at(2), at(3))
            "setup" -> Place.HoldSetup(must(1), must(2))
            "hold" -> Place.Hold(must(1), at(2))
            "recheck" -> Place.Recheck(must(1))
            "seals" -> Place.Seals(must(1))
            "seal" -> Place.Seal(must(1), must(2), at(3))
            "service" -> Place.Service(must(1), must(2), must(3), at(4), at(5))
            "box" -> Place.RingBox(at(1))
            "spares" -> Place.Spares(must(1), at(2))
            "trim" -> Place.Trim(must(1), at(2))
            "journal" -> Place.Journal(at(1), at(2))
            "entry" -> Place.Entry(must(1))
            "photo" -> Place.Photo(must(1))
            "crew" -> Place.Crew(at(1))
            else -> null
        }
    } catch (_: IllegalArgumentException) {
        null
    }
}

/** The stack after going to [go]. The rules of moving stand here and nowhere else. */
fun moved(stack: List<Place>, leave: Boolean, go: Place?): List<Place> {
    var next = if (leave) stack.dropLast(1) else stack
    if (go != null) {
        val seen = next.indexOf(go)
        val prep =
            if (go is Place.Prep && go.form == null)
                next.indexOfFirst { it is Place.Prep && it.prep == go.prep && it.form == null }
            else -1
        next =
            when {
                // Back where one was: what was opened since is closed.
                seen >= 0 -> next.take(seen + 1)
                // Another step of the same prep takes the place of the last, and of what was opened since, so Back
                // leaves the prep.
                prep >= 0 -> next.take(prep) + go
                else -> next + go
            }
    }
    return next.ifEmpty { listOf(Place.Rigs(null)) }
}
