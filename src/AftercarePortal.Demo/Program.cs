using AftercarePortal.Demo;
using AftercarePortal.Demo.Rehearsal;
using AftercarePortal.Demo.Simulation;
using AftercarePortal.Demo.Wrenfold;

const string PortalUrl = "http://127.0.0.1:5080", PhoneUrl = "http://127.0.0.1:5081";
if (args is ["rehearse"])
{
    await using var stage = await Stage.Set();
    return await new Rehearsal(stage.Demo, Console.Out, TimeSpan.FromSeconds(30)).Play();
}

if (args is ["rehearse", .. var how] && await SimulateCommand.Run(how, Console.Out) is { } code) return code;
if (args is ["rehearse", ..] or [_, _, ..])
{
    Console.Error.WriteLine("usage: AftercarePortal.Demo [FOLDER]    the invented clinic, its data kept in FOLDER\n       AftercarePortal.Demo rehearse    one patient's fourteen days in under a minute; exit code 1 when anything due was not done\n       AftercarePortal.Demo rehearse --simulate N [--seed S]    N bad nights; exit code 1 with a short story when a rule was broken\n       AftercarePortal.Demo rehearse --mutants    plants faults one by one; exit code 1 when the bad nights miss one");
    return 2;
}

var folder = Path.GetFullPath(args is [var given] ? given : "var/demo");
await using var demo = await WrenfoldDemo.Start(PortalUrl, PhoneUrl, folder, withPast: true);
Console.WriteLine($"""

    Intake:   {PortalUrl}/Intake/at/wrenfold
    Handsets: {PhoneUrl}                write as Mira: my skin has gone white; move the clock to see her days pass
    Staff:    {PortalUrl}/Escalations   sign in as iris, password: {Seed.Password}, then add the shown key to an authenticator
    Stop with Ctrl+C. The demo's data is in {folder}.
    """);
await demo.WaitForShutdown();
return 0;
