package org.slackwater.app

import java.io.File
import java.security.ProviderException
import org.junit.After
import org.junit.Assert.assertTrue
import org.junit.Before
import org.junit.Test
import org.slackwater.desktop.RealAppTest

/** The real core, opened with a key store that answers and with one that doesn't. */
class SigningDeviceTest : RealAppTest() {
    @Before fun keyStore() = FakeKeyStore.install()

    @After fun noKeyStore() = FakeKeyStore.remove()

    @Test
    fun aLostSecretIsSaidOnTheFirstScreenAndTheRecordStays() {
        FakeKeyStore.failing = ProviderException("no answer")
        start()
        seeText("does not give the secret", substring = true)
        seeText("no answer", substring = true)
        assertTrue(texts().any { "Reef rig" in it })
    }

    @Test
    fun withASecretNothingIsSaid() {
        start()
        assertTrue(texts().none { "does not give the secret" in it })
        assertTrue(File(phone.noBackupFilesDir, "device-secret").exists())
    }
}
