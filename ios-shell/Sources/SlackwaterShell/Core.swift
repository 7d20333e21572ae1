// The one file that imports the generated binding; screens will use it through here.
@_exported import Slackwater
