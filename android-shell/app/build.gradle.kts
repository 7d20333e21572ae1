plugins {
    alias(libs.plugins.android.application)
    alias(libs.plugins.kotlin.compose)
}

android {
    namespace = "org.slackwater.app"
    compileSdk = 36
    defaultConfig {
        applicationId = "org.slackwater.app"
        minSdk = 26
        targetSdk = 36
        versionCode = 1
        versionName = "0.1.0"
    }
    buildFeatures { compose = true }
    // The core for each processor of a phone: not built yet.
    sourceSets["main"].jniLibs.srcDirs("../../bindings/kotlin/src/generated/jniLibs")
}

dependencies {
    implementation(project(":ui"))
    implementation(libs.activity.compose)
    implementation(libs.core.ktx)
}
