#!/usr/bin/perl
# A host written by somebody who had PROTOCOL.md and nothing else: a lamp follows a contact.
# For simulation only.
#
#   host.pl tcp HOST PORT | host.pl file PATH [CONTACT LAMP TONE]     (pins; 2, 5 and 8 unless given)
#
# Standard input:  tone 0-2 | silent MS (sends nothing) | noise (a damaged frame) | release
# Standard output: hello CODE BOOT ITEMS, live, contact 0|1, edge N 0|1, flags N, lost, bad N, reset, released
use strict;
use warnings;
use FindBin;
use Fcntl;
use IO::Socket::INET;
use POSIX ();
use Socket qw(IPPROTO_TCP TCP_NODELAY);
require "$FindBin::Bin/frames.pl";
$| = 1;
$SIG{PIPE} = 'IGNORE';

use constant { HELLO_REQUEST => 1, SETUP_BEGIN => 2, SETUP_ITEM => 3, SETUP_COMMIT => 4, COMMAND => 5, RELEASE => 6 };
use constant { HELLO => 0x81, SETUP_REPLY => 0x82, REPORT => 0x83, HOST_SILENT => 1 };
use constant { QUIET_AFTER_RESET => 2.0, QUIET => 0.1, REQUEST_EACH => 0.5, HELLO_WAIT => 5.0, REPLY_WAIT => 0.25, TRIES => 12 };
use constant { BEGINS => 3, HEARTBEAT => 0.1, SILENCE => 1.0, RELEASE_WAIT => 0.2, BACK_OFF_FIRST => 0.25, BACK_OFF_CAP => 2.0 };
use constant { HOST_TIMEOUT_MS => 500, REPORT_INTERVAL_MS => 100, SPEED => 250000 };

my ($way, @where) = splice @ARGV, 0, 1;
@where = splice @ARGV, 0, ($way // '') eq 'tcp' ? 2 : 1;
die "host.pl tcp HOST PORT | file PATH  [CONTACT LAMP TONE]\n" unless defined $way && $way =~ /^(tcp|file)$/ && defined $where[-1];
my ($contact_pin, $lamp_pin, $tone_pin) = @ARGV == 3 ? @ARGV : (2, 5, 8);
my @bodies = map { pack 'CCCvvv', @$_ } [0x01, $contact_pin, 0x03, 20, 0, 0], [0x10, $lamp_pin, 0x04, 0, 0, 0], [0x11, $tone_pin, 0, 700, 200, 100];
my @sums = map { crc16(join '', @bodies[0 .. $_ - 1]) } 0 .. @bodies;    # after so many items

my ($port, $rx, %shown);
my $now = monotonic();
my ($back_off, $silent_until, $releasing, $tone) = (BACK_OFF_FIRST, 0, 0, 0);
my $session = 1 + int rand 255;
# What the host is at: closed, hello, setup, session, release; with the fields that it needs.
my $at = { stage => 'closed', next => 0 };

my ($typed, $stdin_open, $parent) = ('', 1, getppid);
while (1) {
    my $watch = '';
    vec($watch, fileno $_, 1) = 1 for $port // (), $stdin_open ? \*STDIN : ();
    $watch = '' if select(my $can = $watch, undef, undef, 0.01) <= 0;
    $can = '' if $watch eq '';
    $now = monotonic();
    if ($stdin_open && vec $can, fileno(STDIN), 1) {
        $stdin_open = sysread STDIN, $typed, 4096, length $typed;
        by_hand($1) while $typed =~ s/^(.*?)\r?\n//;
    }
    exit if !$stdin_open && getppid != $parent;
    if ($port && vec $can, fileno($port), 1) {
        my $got = sysread $port, my $bytes, 65536;
        if ($got) { defined $_ && length $_ > 1 && message($_) for receive($rx, $bytes) }
        elsif (defined $got || !$!{EAGAIN}) { port_gone("read: " . ($got // 1 ? $! : 'closed')) }
    }
    tick() if $now >= $silent_until;
}

sub by_hand {
    my ($word, $n) = split ' ', shift;
    return unless defined $word;
    if ($word eq 'tone' && $n =~ /^[012]$/) {
        my $old = $tone;
        $tone = $n;
        command() if $at->{stage} eq 'session' && $tone != $old;
    }
    elsif ($word eq 'silent') { $silent_until = $now + $n / 1000 }
    elsif ($word eq 'noise') { write_port(substr(frame("\x01\x01"), 0, -2) . "\x55\0") }
    elsif ($word eq 'release') { $releasing = 1 }
    else { warn "unknown: $word\n" }
}

sub show {    # a line, when its value changes
    my ($name, $value) = @_;
    print "$name $value\n" if ($shown{$name} // '') ne $value;
    $shown{$name} = $value;
}

sub write_port {
    my ($bytes) = @_;
    return if !$port || $now < $silent_until;
    my $done = syswrite $port, $bytes;
    port_gone("write: $!") if !defined $done && !$!{EAGAIN};
}

sub transmit { write_port(frame($_[0])) }

sub tick {
    my $stage = $at->{stage};
    if ($releasing && $stage ne 'release') {
        transmit(chr RELEASE);
        print "released\n";
        exit 0 unless $port;
        return $at = { stage => 'release', end => $now + RELEASE_WAIT };
    }
    if ($stage eq 'release') { exit 0 if $now >= $at->{end} }
    elsif ($stage eq 'closed') {
        my $came = $way eq 'file' && $at->{missing} && -e $where[0];
        return open_port() if $now >= $at->{next} || $came;
        $at->{missing} ||= $way eq 'file' && !-e $where[0];
    }
    elsif ($stage eq 'hello') {
        if ($now >= $at->{end}) {    # the port stays open, but the host pauses as if it were closed
            my $pause = $back_off;
            $back_off = $back_off * 2 > BACK_OFF_CAP ? BACK_OFF_CAP : $back_off * 2;
            await_hello($pause);
        }
        elsif ($now >= $at->{next}) {
            $at->{next} = $now + REQUEST_EACH;
            transmit(pack 'CC', HELLO_REQUEST, 1);
        }
    }
    elsif ($stage eq 'setup') {
        return if $now < $at->{next};
        return start_over() if $at->{tries}++ >= TRIES;
        send_step();
    }
    else {
        return start_over() if $now - $at->{reported} >= SILENCE;
        # once a second midway between two REPORTs, else as a heartbeat
        my $midway = $now - $at->{midway} >= 1 && $now - $at->{reported} >= REPORT_INTERVAL_MS / 2000;
        $at->{midway} = $now if $midway;
        command() if $midway || $now - $at->{commanded} >= HEARTBEAT;
    }
}

sub open_port {
    if ($way eq 'tcp') {
        $port = IO::Socket::INET->new(PeerAddr => $where[0], PeerPort => $where[1], Proto => 'tcp', Timeout => 2);
        if ($port) { $port->blocking(0); setsockopt $port, IPPROTO_TCP, TCP_NODELAY, 1 }
    }
    elsif (sysopen $port, $where[0], O_RDWR | O_NOCTTY | O_NONBLOCK) { raw_line() }
    else { undef $port }
    return port_gone("open: $!") unless $port;
    $rx = receiver();
    await_hello($way eq 'file' ? QUIET_AFTER_RESET : QUIET);
    $now = monotonic();
    write_port("\0");
}

sub raw_line {    # raw mode, 8 bits, no echo, no modem lines, the speed where Linux has it
    my $line = POSIX::Termios->new;
    return warn "not a terminal\n" unless $line->getattr(fileno $port);
    $line->setiflag(0);
    $line->setoflag(0);
    $line->setlflag(0);
    $line->setcflag(POSIX::CS8() | POSIX::CREAD() | POSIX::CLOCAL());
    $line->setcc(POSIX::VMIN(), 1);
    $line->setcc(POSIX::VTIME(), 0);
    $line->setospeed(POSIX::B38400());
    $line->setispeed(POSIX::B38400());
    $line->setattr(fileno $port, POSIX::TCSANOW()) or warn "tcsetattr: $!\n";
    my $termios2 = "\0" x 44;    # TCGETS2, BOTHER, TCSETS2
    return unless $^O eq 'linux' && ioctl $port, 0x802C542A, $termios2;
    my @t = unpack 'L4a20L2', $termios2;
    ioctl $port, 0x402C542B, pack 'L4a20L2', @t[0, 1], $t[2] & ~0x100F | 0x1000, @t[3, 4], SPEED, SPEED;
}

sub port_gone {
    my ($why) = @_;
    return if $at->{stage} eq 'closed' && !$port && $now < $at->{next};
    warn "port: $why\n";
    exit 0 if $at->{stage} eq 'release';
    print "lost\n" if $at->{stage} =~ /setup|session/;
    close $port if $port;
    undef $port;
    $at = { stage => 'closed', next => $now + $back_off, missing => 0 };
    $back_off = $back_off * 2 > BACK_OFF_CAP ? BACK_OFF_CAP : $back_off * 2;
}

sub await_hello {
    my ($quiet) = @_;
    $at = { stage => 'hello', next => $now + $quiet, end => $now + $quiet + HELLO_WAIT };
}

sub start_over {    # on the same open port
    print "lost\n";
    await_hello(QUIET);
}

sub message {
    my ($m) = @_;
    my $type = ord $m;
    if    ($type == HELLO) { hello($m) }
    elsif ($type == SETUP_REPLY && length $m == 7) { setup_reply(unpack 'xC4v', $m) }
    elsif ($type == REPORT && length $m >= 11) { report($m) }
}

sub hello {
    my ($m) = @_;
    die "the board speaks protocol " . ord(substr $m, 1) . "\n" if ord(substr $m, 1) != 1;
    return if length $m != 10;
    my ($code, $boot, $sum, $items) = unpack 'xxCxxvvC', $m;
    my $stage = $at->{stage};
    exit 0 if $stage eq 'release' && $sum == 0;
    return if $stage eq 'release' || $stage eq 'setup' && $boot == $at->{boot};
    return if $stage eq 'session' && $boot == $at->{boot} && $sum == $sums[-1];
    if ($stage eq 'session') {
        print "reset\n" if $boot != $at->{boot};
        print "lost\n";
    }
    print "hello $code $boot $items\n";
    die "the board takes only $items items\n" if $items < @bodies;
    $session = $session % 255 + 1;
    $at = { stage => 'setup', boot => $boot, begins => 0 };
    begin();
}

sub begin {
    return start_over() if $at->{begins}++ >= BEGINS;
    @$at{qw(step tries)} = (0, 1);
    send_step();
}

sub send_step {    # step 0: SETUP_BEGIN, then the items, then SETUP_COMMIT
    my $step = $at->{step};
    $at->{next} = $now + REPLY_WAIT;
    transmit($step == 0 ? pack 'CCCvvv', SETUP_BEGIN, $session, scalar @bodies, $sums[-1], HOST_TIMEOUT_MS, REPORT_INTERVAL_MS
        : $step <= @bodies ? pack('CC', SETUP_ITEM, $step - 1) . $bodies[$step - 1]
        : pack 'Cv', SETUP_COMMIT, $sums[-1]);
}

sub setup_reply {
    my ($of, $answers, $index, $status, $sum) = @_;
    return unless $at->{stage} eq 'setup';
    my $step = $at->{step};
    my ($type, $position) = $step == 0 ? (SETUP_BEGIN, 0) : $step <= @bodies ? (SETUP_ITEM, $step - 1) : (SETUP_COMMIT, 0);
    return if $answers != $type || $index != $position;
    return if $status == 0 && $of != $session;
    return begin() if $status == 1 || $status == 2 || $status == 0 && $sum != $sums[$step > @bodies ? -1 : $step];
    die "the board refuses message $type, item $index, with status $status\n" if $status;
    @$at{qw(step tries)} = ($step + 1, 1);
    return send_step() if $step <= @bodies;
    $at = { stage => 'session', boot => $at->{boot}, reported => $now, midway => $now, commanded => $now, sequence => 0,
        expected => 0, live => 0, contact => undef, resync => undef };
    $back_off = BACK_OFF_FIRST;
    command();
}

sub command {
    return if $now < $silent_until;
    my $number = $at->{sequence} = ($at->{sequence} + 1) & 0xFFFF;
    $at->{resync} //= $number if $now - $at->{commanded} >= HOST_TIMEOUT_MS / 1000;    # the host was silent
    $at->{commanded} = $now;
    transmit(pack 'CCvvCC', COMMAND, $session, $number, $at->{expected}, $at->{contact} ? 200 : 0, $tone);
}

sub report {
    my ($m) = @_;
    return unless $at->{stage} eq 'session';
    my ($of, $sequence, $named, $flags, $bad, $first, $count, $contact, @edges) = unpack 'xCvvCCvCCC*', $m;
    return if $of != $session || $count > 16 || length $m != 12 + $count || $contact > 1 || grep { $_ & 0x7F } @edges;
    return if $at->{live} && !newer($sequence, $at->{last});
    my $begins = !$at->{live};
    @$at{qw(live last reported)} = (1, $sequence, $now);
    print "live\n" if $begins;
    show('flags', $flags);
    show('bad', $bad);
    my $lamp = $at->{contact};
    # The next COMMAND is the first one after a HOST_SILENT that this host did not know of yet.
    my $sent_since = defined $at->{resync} && !newer($at->{resync}, $named);
    $at->{resync} = ($at->{sequence} + 1) & 0xFFFF if $flags & HOST_SILENT && (!defined $at->{resync} || $sent_since);
    my $beyond = ($first + $count) & 0xFFFF;
    if (defined $at->{resync}) {    # neither edges nor state, until the board has heard the host again
        $at->{expected} = $beyond;
        if ($sent_since && !($flags & HOST_SILENT) && $count < 16) { $at->{resync} = undef; $at->{contact} = $contact }
    }
    else {
        $at->{expected} = $first if newer($first, $at->{expected});
        $at->{contact} //= $contact;
        for my $i (0 .. $#edges) {
            my $number = ($first + $i) & 0xFFFF;
            next if $number != $at->{expected};
            my $closed = $edges[$i] >> 7;
            print "edge $number $closed\n";
            show('contact', $closed) unless $begins;
            $at->{expected} = ($number + 1) & 0xFFFF;
        }
        $at->{contact} = $contact;
    }
    show('contact', $at->{contact}) if defined $at->{contact};
    command() if $count || ($lamp // 0) != ($at->{contact} // 0);
}
