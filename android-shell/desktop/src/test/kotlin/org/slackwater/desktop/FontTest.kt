package org.slackwater.desktop

import org.jetbrains.skia.Data
import org.jetbrains.skia.Font
import org.jetbrains.skia.FontMgr
import org.jetbrains.skia.Typeface
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test

class FontTest {
    private val faces: List<Typeface> =
        listOf("regular", "bold").map { weight ->
            val bytes =
                requireNotNull(javaClass.getResourceAsStream("/font/b612_$weight.otf")) { "no $weight" }.readBytes()
            requireNotNull(FontMgr.default.makeFromData(Data.makeFromBytes(bytes)))
        }

    @Test
    fun everyLatinLetterAndTheSignsOfTheScreensAreThere() {
        // Latin-1 is here; names in other letters come from the phone's own fonts.
        val latin = (0x20..0x7E) + (0xA0..0xFF)
        val signs = "−±×·–—‘’“”…°²³µ≤≥≈½".map { it.code }
        for (face in faces) {
            val missing = (latin + signs).filter { face.getUTF32Glyph(it) == 0.toShort() }
            assertTrue("${face.familyName}: ${missing.map { String(Character.toChars(it)) }}", missing.isEmpty())
        }
    }

    @Test
    fun aLetterThatIsNotThereIsFoundMissing() {
        assertEquals(0.toShort(), faces[0].getUTF32Glyph(0x4E2D))
    }

    @Test
    fun figuresAreOfOneWidth() {
        for (face in faces) {
            val font = Font(face, 100f)
            assertEquals(1, ('0'..'9').map { font.measureTextWidth(it.toString()) }.distinct().size)
        }
    }

    /** Bold is as wide as regular, so that what becomes bold moves no line. */
    @Test
    fun boldIsAsWideAsRegular() {
        val (regular, bold) = faces.map { Font(it, 100f).measureTextWidth("Service the back o-ring") }
        assertEquals(1.0, (bold / regular).toDouble(), 0.01)
    }

    @Test
    fun theLicenceStandsBesideIt() {
        val text = requireNotNull(javaClass.getResourceAsStream("/licences/b612.txt")).readBytes().decodeToString()
        assertTrue("SIL OPEN FONT LICENSE Version 1.1" in text && "PERMISSION & CONDITIONS" in text)
    }
}
